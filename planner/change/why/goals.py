"""Each goal dropped: a head's dose, what must hold, and the goals that only cost a price."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace

from planner.change.why.easing import BRIEF, Easing, built, with_brief, with_method
from planner.model.inputs import Inputs

# goal, what its price is called, and the words of dropping it
PRICED = (
    ("ceiling", "price_over_ceiling", "no price on dose above a ceiling"),
    ("direct", "price_direct", "no share of direct sets asked for"),
    ("session_cap", "price_session_cap", "no price on many sets of a head in one session"),
    ("spread", "price_spread", "no spreading of a head over the week"),
    ("heavy_days", "price_heavy_days", "heavy days may stand side by side"),
    ("share", "price_share", "one exercise may give any share of a head"),
    ("new", "price_new_exercise", "any number of new exercises a head"),
)


def goal_easings(inputs: Inputs) -> Iterator[Easing]:
    """Give every goal dropped, doses first."""
    yield from doses_dropped(inputs)
    yield from no_longer_must(inputs)
    yield from implements_dropped(inputs)
    yield from families_dropped(inputs)
    yield from rotation_dropped(inputs)
    yield from preferred_dropped(inputs)
    yield from prices_dropped(inputs)


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


def implements_dropped(inputs: Inputs) -> Iterator[Easing]:
    """One implement is enough."""
    variety = inputs.brief.variety
    yield Easing(
        name="goal:implements",
        words="one implement is enough",
        file=BRIEF,
        where="variety.implements = 1",
        problem=built(with_variety, inputs, {"implements": 1}),
        forgets=("implements",),
        loosens_dose=variety.must,
    )


def families_dropped(inputs: Inputs) -> Iterator[Easing]:
    """No movement family asked for, where some are."""
    variety = inputs.brief.variety
    if variety.families:
        yield Easing(
            name="goal:families",
            words="no movement family asked for",
            file=BRIEF,
            where="variety.families = []",
            problem=built(with_variety, inputs, {"families": ()}),
            forgets=("family",),
            loosens_dose=variety.must,
        )


def rotation_dropped(inputs: Inputs) -> Iterator[Easing]:
    """All of last week's exercises may change, where there was one; how many new ones a head may get stays."""
    if inputs.last_week:
        yield Easing(
            name="goal:rotation",
            words="all of last week's exercises may change",
            file=BRIEF,
            where="variety.keep = 0",
            problem=built(with_variety, inputs, {"keep": 0}),
            forgets=("rotation",),
            loosens_dose=False,
        )


def with_variety(inputs: Inputs, changes: Mapping[str, object]) -> Inputs:
    """Give inputs with other wishes for variety."""
    return with_brief(inputs, variety=inputs.brief.variety.model_copy(update=dict(changes)))


def preferred_dropped(inputs: Inputs) -> Iterator[Easing]:
    """No exercise preferred, where some are: those that could be planned only because of it are out then."""
    if inputs.brief.preferences.prefer:
        preferences = inputs.brief.preferences.model_copy(update={"prefer": ()})
        yield Easing(
            name="goal:prefer",
            words="no exercise preferred",
            file=BRIEF,
            where="preferences.prefer = []",
            problem=built(lambda: with_brief(inputs, preferences=preferences)),
            forgets=("prefer",),
            loosens_dose=False,
        )


def prices_dropped(inputs: Inputs) -> Iterator[Easing]:
    """Each goal that is nothing but its price; new exercises are counted against last week's, where there was one."""
    for goal, price, words in PRICED:
        if goal == "new" and not inputs.last_week:
            continue
        yield Easing(
            name=f"goal:{goal}",
            words=words,
            file=BRIEF,
            where=f"method.{price} = 0",
            problem=built(lambda name=price: with_method(inputs, **{name: 0.0})),
            forgets=(goal,),
            loosens_dose=False,
        )
