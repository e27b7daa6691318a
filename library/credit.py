"""What one hard set is worth to a head, in direct sets (DESIGN §3.2), and the count by movers beside it."""

from __future__ import annotations

from library.method import CreditSettings

DEFAULTS = CreditSettings()


def set_credit(
    profile: float, eccentric_share: float, eccentric_weight: float, settings: CreditSettings = DEFAULTS
) -> float:
    """Return the credit of one set: 0 below the floor, else min(1, profile)·w.

        w = ((1 − q) + k·q) / ((1 − neutral) + k·neutral)     q eccentric share, k eccentric weight

    profile is a ratio to the head's anchor, credit is in direct sets.
    """
    if profile < settings.credit_floor:
        return 0.0
    return (
        min(1.0, profile)
        * _lowering(eccentric_share, eccentric_weight)
        / _lowering(settings.neutral_share, eccentric_weight)
    )


def _lowering(share: float, weight: float) -> float:
    return (1 - share) + weight * share


def movers_credit(profile: float, settings: CreditSettings = DEFAULTS) -> float:
    """Return what one set counts by movers: a whole set, a part of one, or nothing (sets)."""
    if profile >= settings.movers_direct:
        return 1.0
    return settings.movers_part if profile >= settings.movers_indirect else 0.0
