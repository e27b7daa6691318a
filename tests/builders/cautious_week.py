"""The tiny week as a cautious one, every number worked out by hand: its ratios are sure, so every draw is the same."""

import numpy as np

from library.pool import PooledHead


def sure_heads(ratios, spread=0.0):
    """Ratios with a covariance of spread² each, none shared."""
    return {
        head: PooledHead(
            head=head, anchor=next(key for key, ratio in of.items() if ratio == max(of.values())),
            exercises=tuple(of), theta=np.log(np.array(list(of.values()))),
            covariance=spread**2 * np.eye(len(of)), tau=0.25, rows=(),
            influence=np.zeros((len(of), 0)),
        )
        for head, of in ratios.items()
    }  # fmt: skip


def default(name, value):
    """The coach sets a default and the document says so."""
    return {f"brief.method.{name}": value, f"document.made_with.method.{name}": value}


RATIOS = {
    "front": {"press": 1.0, "raise": 0.35, "cable_fly": 0.1, "front_lift": 0.8, "bench_press": 0.6},
    "side": {"press": 0.5, "raise": 1.0, "cable_fly": 0.4},
    "rear": {"press": 0.2, "raise": 0.25, "cable_fly": 1.0},
}


def bets(dose, exercises, largest, share, chances):
    """A head whose draws are all alike: mean and bad case are its dose."""
    told = dict.fromkeys(("dose", "mean", "bad"), dose)
    told |= dict(zip(("chance_floor", "chance_target90"), chances, strict=True))
    return told | {"exercises": exercises, "largest": largest, "largest_share": share}


def head(name, plain, cautious, *spread):
    both = {"plain": bets(plain, *spread, (0.9, 0.2)), "cautious": bets(cautious, *spread, (0.99, 0.6))}
    return {"head": name} | both


def week(own, judged, sets, minutes, priced):
    figures = {"own_shortfall": own, "judged_shortfall": judged, "sets": sets, "exercises": 3}
    return figures | {"minutes": minutes, "priced_minutes": priced}


def cautious(**changes):
    """Changes that make the tiny week a cautious one; its plain week is Monday's session alone. `__` stands for a dot."""
    blocks = (("press", 4), ("raise", 3), ("cable_fly", 3))
    caution = {
        "level": 0.8, "draws": 200, "seed": 1, "judged_draws": 10000, "judged_seed": 2,
        # front misses 2.55, side 1.8; rear 5, priced 1.5·(2 + 2·2 + 1·4): 2.55 + 1.8 + 15; 5 + 10.75 + 6 + 7 minutes
        "plain": week(19.4, 19.35, 10, 28.8, 40.0),
        "cautious": week(3.0, 3.0, 20, 57.6, 7.5),
        "heads": [
            head("front", 7.45, 12.0, 2, "press", 0.7921),  # 4 + 3·0.35 + 2.4; 8 + 4
            head("side", 6.2, 9.2, 3, "raise", 0.4839),
            head("rear", 3.0, 6.0, 1, "cable_fly", 1.0),
        ],
        "plain_blocks": [
            {"session": "Mon", "exercise": key, "name": key.replace("_", " "), "sets": sets} for key, sets in blocks
        ],
    }  # fmt: skip
    made = {"document.cautious": caution, "document.proof.0.aim": "shortfall", "pooled": sure_heads(RATIOS)}
    return made | {f"document.cautious.{path.replace('__', '.')}": value for path, value in changes.items()}
