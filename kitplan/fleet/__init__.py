"""An outfitter's standard kit: lists that all boats of a type share, cheapest over many trips.

`wares` says what may be issued, `model` has the lists and the trips that matter, `goals` what each
trip is to be covered with, `search` adds trips and rapids as they show that lists fall short,
`checks` and `pool` ask the others, `proof` has every plan accepted and `needed` says what each line
is for.
"""
