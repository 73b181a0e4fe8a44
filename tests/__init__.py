"""All checks of kitplan; `python -m tests` runs them."""
