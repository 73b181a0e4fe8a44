"""What people can wade: published limits of depth and current.

Owns constants with their sources and the arithmetic on them; knows no technique.
"""

from __future__ import annotations

# Depth times speed below which field staff wade: 10 ft2/s, that is 0.93 m2/s, as mm2/s.
# Source: stream-gauging field practice (second-hand).
WADING_MM2_S = 930_000
# Design limit for people on foot at floodways: 0.4 m2/s. Source: Australian Rainfall & Runoff.
WADING_DESIGN_MM2_S = 400_000
# Wading is hard above 1.2 m of depth or 0.8 m/s. Source: Emergency Management Australia, cited in
# the slides of Australian Rainfall & Runoff project 10 (second-hand).
WADING_HARD_DEPTH_MM = 1_200
WADING_HARD_SPEED_MM_S = 800


def wading_product_mm2_s(depth_mm: int, current_mm_s: int) -> int:
    """Return depth times speed in mm2/s (1 m2/s = 1,000,000)."""
    return depth_mm * current_mm_s


def can_wade(depth_mm: int, current_mm_s: int) -> bool:
    """Say whether depth times speed stays below the published limit (the limit itself does not)."""
    return wading_product_mm2_s(depth_mm, current_mm_s) < WADING_MM2_S


def list_wading_cautions(depth_mm: int, current_mm_s: int) -> tuple[str, ...]:
    """Return the lower published limits that this water passes, in words; empty if none."""
    cautions = []
    product = wading_product_mm2_s(depth_mm, current_mm_s)
    if product >= WADING_DESIGN_MM2_S:
        cautions.append(
            f"depth x current {product / 1e6:.2f} m2/s is at or above 0.4 m2/s, a published design "
            "limit for people on foot"
        )
    if depth_mm > WADING_HARD_DEPTH_MM:
        cautions.append("deeper than 1.2 m, where wading is published as hard")
    if current_mm_s > WADING_HARD_SPEED_MM_S:
        cautions.append("faster than 0.8 m/s, where wading is published as hard")
    return tuple(cautions)
