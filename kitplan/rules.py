"""Registry of rule families and aims: name, sentence for people, inequality.

The builder has one method and the verifier one check for each family; the guard test says so.
Every complaint of the verifier carries a family's name as its code.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Family:
    """One rule family."""

    name: str
    sentence: str
    inequality: str


@dataclass(frozen=True, slots=True)
class Aim:
    """One of the things optimised in turn; `number` is its place in the full list of aims."""

    number: int
    name: str
    sentence: str
    unit: str


SEATING: tuple[Family, ...] = (
    Family(
        "seat",
        "every paddler sits in exactly one boat of each leg he is in",
        "sum over b of x[p,b] = 1",
    ),
    Family(
        "seats", "a boat holds no more people than it has seats", "sum over p of x[p,b] <= seats[b]"
    ),
    Family(
        "steerer",
        "every boat has one steerer, good enough for the hardest class it runs, but for rapids "
        "where another one rows twice; guests in a paddle raft ask for one level more",
        "sum over p of st[p,b] = 1, st[p,b] <= x[p,b]; st[p,b] + x[g,b] <= 1 for weaker p, guest g",
    ),
    Family("least-crew", "a boat has its least crew", "sum over p of x[p,b] >= least[b]"),
    Family("tied", "a paddler tied to a boat sits in it", "x[p,b] = 1"),
    Family("together", "people to be kept together share a boat", "x[p,b] = x[q,b]"),
    Family("apart", "people to be kept apart sit in different boats", "x[p,b] + x[q,b] <= 1"),
    Family(
        "payload",
        "people, safety kit, stores and dry load stay within the payload on each morning",
        "sum of masses[b,d] <= payload[b]",
    ),
)

PACKING: tuple[Family, ...] = (
    Family(
        "owned",
        "no more is taken than the party owns, and what is taken is packed in every leg",
        "sum over b, w of y[i,b,w] = taken[i] <= count[i]",
    ),
    Family("take", "what must go is taken", "taken[i] >= take[i]"),
    Family(
        "carried",
        "a thing lies only where it may be carried, and is stowed only where it is not too long",
        "y[i,b,w] = 0 for other w, and y[i,b,stowed] = 0 if packed[i] > longest[b]",
    ),
    Family(
        "quick-bulky",
        "bulky things lying quick have a place",
        "sum of bulky y[i,b,quick] <= places[b]",
    ),
    Family(
        "quick-small", "small things lying quick have room", "sum of small y[i,b,quick] <= room[b]"
    ),
    Family(
        "vest-room",
        "small things dealt out to be worn fit into vests with room",
        "sum of vest y[i,b,worn] <= sum over p of room[p] x[p,b]",
    ),
    Family(
        "waist-room",
        "one thing at the waist of each who is not a guest",
        "sum of waist y[i,b,worn] <= sum over p of waist[p] x[p,b]",
    ),
)

STORES: tuple[Family, ...] = (
    Family(
        "stowed",
        "all stores that are aboard in a leg are stowed in its boats, where they fit",
        "sum over b of z[l,b] = count[l], z[l,b] = 0 if l is too long or too large for b",
    ),
    Family(
        "hold",
        "stores and what else is stowed find room",
        "sum over l of volume[l] z[l,b] + sum of volumes of y[i,b,stowed] <= hold[b]",
    ),
)

ORDER: tuple[Family, ...] = (
    Family(
        "order",
        "the boats of a leg run one at a time, each once; an order that is given is kept",
        "sum over k of o[b,k] = 1, sum over b of o[b,k] = 1",
    ),
    Family(
        "lead",
        "the first boat's steerer has the level the trip asks for",
        "o[b,0] <= sum over able p of st[p,b]",
    ),
    Family(
        "sweep",
        "the last boat has the things the trip asks for",
        "o[b,last] <= things of the kind in b",
    ),
    Family(
        "row-twice",
        "who takes a second boat down a rapid has run it with his own, walks back along a path, is "
        "good enough, finds a seat, and does nothing else there",
        "weaker st[p,b] <= sum over q of t[q,b,r], t[q,b,r] + x[q,a] + o[b,k] <= 2 + sum over "
        "j < k of o[a,j], sum over p of x[p,b] + t[q,b,r] <= seats[b]",
    ),
)

STATIONS: tuple[Family, ...] = (
    Family(
        "station",
        "whichever boat runs, each other one waits at one station, of those its safety and banks "
        "allow before or after its own run",
        "sum over s of wait[b,r,k,s] = 1 - o[b,k]",
    ),
    Family(
        "held",
        "unless stations are reset, a boat waits at one station before its run and at one after",
        "wait[b,r,k,s] <= s[b,r,s]",
    ),
    Family(
        "landing",
        "whichever boat runs, those still to run fit the landing above, the others that below",
        "sum over b of room[b] wait[b,r,k,bank] <= landing[r,bank]",
    ),
    Family(
        "eddies",
        "whichever boat runs, the others afloat fit the eddies",
        "sum over b of room[b] wait[b,r,k,afloat] <= eddies[r]",
    ),
)

COVER: tuple[Family, ...] = (
    Family(
        "people",
        "the people at their sites fill all person slots, each one slot",
        "for every set S of slots: able people outside v at the sites of S >= |S|",
    ),
    Family(
        "minders",
        "guests on a bank where a team is at work, and those who lend a hand at unhurried work, "
        "are minded by guides with no place in the team",
        "for every set S of slots: people at the sites of S or guides on the bank, outside v >= "
        "|S| + m[bank], where 8 m[bank] >= guests on the bank; unhurried: m slots more, 8 m of the "
        "others open to guests",
    ),
    Family(
        "things",
        "worn and quick things at a site fill its item slots, each once",
        "for every set S of slots: able items outside v at the site >= |S|",
    ),
    Family(
        "hands",
        "bulky things are carried to the bank in hand, two a person",
        "for every set S of slots: able small items + able items in bundles "
        "+ 2 x people on that bank - bulky bundles there >= |S|",
    ),
    Family(
        "boatwork",
        "each boat's work is done by a boat of its own with its own crew and things",
        "for every set T of works: boats outside v able to do some of T >= |T|",
    ),
    Family(
        "pool",
        "unhurried work draws on everybody and everything outside the running boat",
        "for every set S of slots: able in all boats but v >= |S|",
    ),
    Family(
        "swimmers",
        "throwers ashore, each with a bag, and free places afloat take all who sat in the running "
        "boat, some each way where both are possible",
        "sum over banks of min(throwers, bags) + sum over b at work of free[b] >= sum over p of "
        "x[p,v]; both sums >= 1",
    ),
    Family(
        "crowd",
        "a way for few people in the running boat is used only while no more sit in it",
        "sum over p of x[p,v] <= most",
    ),
    Family("met", "a demand is met if one variant can be done", "met[d] <= sum over variants ok"),
    Family(
        "covered",
        "a case is covered from a bank if a technique that covers it is met from there or "
        "from the water",
        "covered[c,bank] <= sum of met",
    ),
    Family(
        "backed",
        "a covered case is backed if one variant stays possible after any one loss",
        "as people, minders (if m > 0), things, boatwork, pool with >= |S| + 1, hands + 2; "
        "crew paddles and what is in bundles not counted",
    ),
)

FAMILIES: tuple[Family, ...] = SEATING + PACKING + STORES + ORDER + STATIONS + COVER

AIMS: tuple[Aim, ...] = (
    Aim(1, "short_of_law", "what law and permit ask to be carried and is not", "pieces"),
    Aim(1, "short_of_house", "what house rules ask to be carried and is not", "pieces"),
    Aim(1, "short_of_spread", "what would be missing if a boat were lost", "pieces"),
    Aim(2, "uncovered", "cases covered from no bank", "class x class x consequence x likely"),
    Aim(3, "one_bank", "cases not covered from both banks, where both could", "same weight"),
    Aim(4, "unmet", "demands not met", "class x 4, 2, 1 for first, second, later choice"),
    Aim(4, "moves", "people, kit and stores that are moved from where they are", "counts"),
    Aim(5, "backed", "covered cases with no backed way", "weight of a case"),
    Aim(6, "mass", "safety kit taken", "grams"),
    Aim(7, "balance", "fullest boat", "per mille of its payload"),
    Aim(8, "changes", "seats and kit that are others than in the leg before", "counts"),
)

# Complaints of the verifier that are about what a plan says, not about a rule it breaks.
CLAIMS: tuple[str, ...] = (
    "wrong-total",
    "wrong-aim",
    "wrong-witness",
    "wrong-gap",
    "wrong-missing",
    "wrong-shortfall",
    "not-a-gap",
    "unknown-name",
    "stale-input",
)
