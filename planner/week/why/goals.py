"""Each goal dropped: a head's dose, what must hold, and the goals that only cost a price."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from planner.week.inputs import Inputs
from planner.week.why.easing import BRIEF, Easing, built, with_brief, with_method

# goal, what its price is called, and the words of dropping it
PRICED = (
    ("ceiling", "price_over_ceiling", "no price on dose above a ceiling"),
    ("direct", "price_direct", "no share of direct sets asked for"),
    ("session_cap", "price_session_cap", "no price on many sets of a head in one session"),
    ("spread", "price_spread", "no spreading of a head over the week"),
    ("heavy_days", "price_heavy_days", "heavy days may stand side by side"),
    ("share", "price_share", "one exercise may give any share of a head"),
)


def goal_easings(inputs: Inputs) -> Iterator[Easing]:
    """Give every goal dropped, doses first."""
    yield from doses_dropped(inputs)
    yield from no_longer_must(inputs)
    yield from variety_dropped(inputs)
    for goal, price, words in PRICED:
        yield Easing(
            name=f"goal:{goal}",
            words=words,
            file=BRIEF,
            where=f"method.{price} = 0",
            problem=built(lambda name=price: with_method(inputs, **{name: 0.0})),
            forgets=(goal,),
            loosens_dose=False,
        )


def doses_dropped(inputs: Inputs) -> Iterator[Easing]:
    """Each head not trained, while another is."""
    for head in inputs.targets if len(inputs.targets) > 1 else ():
        yield Easing(
            name=f"goal:dose:{head}",
            words=f"no target for {inputs.library.heads[head].name}",
            file=BRIEF,
            where=f"target.{head} = 0",
            problem=built(without_head, inputs, head),
            forgets=(head,),
        )


def without_head(inputs: Inputs, head: str) -> Inputs:
    """Give inputs in which a head is not trained."""
    return replace(inputs, targets={key: of for key, of in inputs.targets.items() if key != head})


def no_longer_must(inputs: Inputs) -> Iterator[Easing]:
    """Each head's target that must be met, met as far as it can."""
    for head, target in inputs.targets.items():
        if target.must:
            eased = {**inputs.targets, head: replace(target, must=False)}
            yield Easing(
                name=f"must:{head}",
                words=f"the target of {inputs.library.heads[head].name} wanted, not a must",
                file=BRIEF,
                where=f"target.{head}.must = false",
                problem=built(lambda targets=eased: replace(inputs, targets=targets)),
            )


def variety_dropped(inputs: Inputs) -> Iterator[Easing]:
    """Implements, families, last week's exercises and preferred ones no longer asked for."""
    variety, preferences, must = inputs.brief.variety, inputs.brief.preferences, inputs.brief.variety.must
    implements = variety.model_copy(update={"implements": 1})
    yield Easing(
        name="goal:implements",
        words="one implement is enough",
        file=BRIEF,
        where="variety.implements = 1",
        problem=built(lambda: with_brief(inputs, variety=implements)),
        forgets=("implements",),
        loosens_dose=must,
    )
    if variety.families:
        families = variety.model_copy(update={"families": ()})
        yield Easing(
            name="goal:families",
            words="no movement family asked for",
            file=BRIEF,
            where="variety.families = []",
            problem=built(lambda: with_brief(inputs, variety=families)),
            forgets=("family",),
            loosens_dose=must,
        )
    if inputs.last_week:
        yield Easing(
            name="goal:rotation",
            words="all of last week's exercises may change",
            file=BRIEF,
            where="variety.keep = 0",
            problem=built(lambda: replace(inputs, last_week=frozenset())),
            forgets=("rotation", "new"),
            loosens_dose=False,
        )
    if preferences.prefer:
        yield Easing(
            name="goal:prefer",
            words="no exercise preferred",
            file=BRIEF,
            where="preferences.prefer = []",
            problem=built(lambda: with_method(inputs, price_prefer=0.0)),
            forgets=("prefer",),
            loosens_dose=False,
        )
