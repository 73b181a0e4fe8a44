"""Benchmarks: a ladder of trips, several ways to solve them, stored optima, growth."""
