"""What one hard set is worth to a head, in direct sets (DESIGN §3.2), and the count by movers beside it."""

import math

from library.method import CreditSettings

DEFAULTS = CreditSettings()


def expected_credit(
    log_ratio: float, log_error: float, eccentric_share: float, settings: CreditSettings = DEFAULTS
) -> float:
    """Return what one set is worth on average over what is not known of its ratio R, in direct sets.

        w · E[R·1(floor ≤ R < 1) + 1(R ≥ 1)],  ln R ~ N(log_ratio, log_error²)
        w = ((1 − q) + k·q) / ((1 − neutral) + k·neutral)     q eccentric share, k eccentric weight

    The limited expected value of a log-normal, cut off at the floor (Klugman, Panjer & Willmot, Loss Models,
    appendix A). Error 0, as an anchor has, gives the plain rule; a credit below `least_credit` is 0.
    """
    credit = _limited_mean(log_ratio, log_error, math.log(settings.credit_floor))
    credit *= _lowering(eccentric_share, settings) / _lowering(settings.neutral_share, settings)
    return credit if credit >= settings.least_credit else 0.0


def _limited_mean(mean: float, spread: float, log_floor: float) -> float:
    """Return E[min(1, R)·1(R ≥ floor)] of ln R ~ N(mean, spread²)."""
    if spread == 0:
        return math.exp(min(0.0, mean)) if mean >= log_floor else 0.0
    whole = _normal(mean / spread)
    between = _normal(-mean / spread - spread) - _normal((log_floor - mean) / spread - spread)
    return whole + (math.exp(mean + spread**2 / 2) * between if between > 0 else 0.0)


def _normal(value: float) -> float:
    return math.erfc(-value / math.sqrt(2)) / 2


def _lowering(share: float, settings: CreditSettings) -> float:
    return (1 - share) + settings.eccentric_weight * share


def movers_credit(profile: float, settings: CreditSettings = DEFAULTS) -> float:
    """Return what one set counts by movers: a whole set, a part of one, or nothing (sets)."""
    if profile >= settings.movers_direct:
        return 1.0
    return settings.movers_part if profile >= settings.movers_indirect else 0.0
