"""Air of heated rooms over a year, where nobody says otherwise: one set of figures for every door.

At 21 °C the two humidities bring wood to 5.4 and 11.0 %. That is wider than the 6 to 10 % of pieces in most
of the United States, and narrower than 4 to 13 % over all its regions (Wood Handbook, table 13-2).
Heated houses in a cold winter read 15 to 25 %; measure the room, or set the shop's own seasons.
"""

from __future__ import annotations

from decimal import Decimal

ROOM_C = Decimal(21)
DRY_RH_PCT, HUMID_RH_PCT = Decimal(25), Decimal(60)
INDOORS_SOURCE = (
    "seasons taken where none are given, 25 to 60 % at 21 °C: the range of humidity for people indoors in an"
    " engineering reference (read); wood of 5.4 to 11.0 %, where Wood Handbook FPL-GTR-190 (2010) table 13-2"
    " has 6 to 10 % in most of the United States and 4 to 13 % over all its regions (from memory)"
)
