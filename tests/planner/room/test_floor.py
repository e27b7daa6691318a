"""The floor against counting every order, a published job shop, and a recheck by sums of its own."""

import random
from collections import Counter
from dataclasses import replace
from itertools import pairwise, permutations, product

import pytest
from one_room import busy_room, person

from library.errors import BrokenPlan
from planner.room.floor import Aim, Block, Floor, Person, Room, Visit, Way, search, timetable, too_many
from planner.room.table import recheck

# Fisher and Thompson 1963 ("Probabilistic learning combinations of local job-shop scheduling rules", in Muth and Thompson,
# Industrial Scheduling), the 6 x 6 instance known as FT06: (machine, minutes) job by job; its shortest makespan is 55.
FT06 = (
    ((2, 1), (0, 3), (1, 6), (3, 7), (5, 3), (4, 6)), ((1, 8), (2, 5), (4, 10), (5, 10), (0, 10), (3, 4)),
    ((2, 5), (3, 4), (5, 8), (0, 9), (1, 1), (4, 7)), ((1, 5), (0, 5), (2, 5), (3, 3), (4, 8), (5, 9)),
    ((2, 9), (1, 3), (4, 5), (5, 4), (0, 3), (3, 1)), ((1, 3), (3, 3), (5, 9), (0, 10), (4, 4), (2, 1)),
)  # fmt: skip
FT06_MAKESPAN = 55
ONE = {"rack": 1}


def test_the_published_job_shop_takes_as_long_as_published():
    jobs = [
        person(str(at), *(((str(machine),), minutes) for machine, minutes in job), over=90)
        for at, job in enumerate(FT06)
    ]
    room = Room(tuple(jobs), {str(machine): 1 for machine in range(6)})
    floor = Floor(room, room.stations)
    for at, job in enumerate(FT06):  # a job shop fixes the order that a client is free in
        for step in range(1, len(job)):
            floor.model.add(floor.starts[at, step] >= floor.ends[at, step - 1])
    makespan = floor.model.new_int_var(0, 90, "")
    floor.model.add_max_equality(makespan, list(floor.out.values()))
    floor.model.minimize(makespan)
    solver, status = search(floor, 10)
    assert (status, solver.objective_value) == ("OPTIMAL", FT06_MAKESPAN)


def small_room(seed):
    """Two or three people with two blocks, short ones, some with a replacement, one station short."""
    dice = random.Random(seed)
    people = []
    for at in range(dice.choice((2, 3, 3))):
        blocks = []
        for letter in "AB":
            minutes = dice.randint(1, 4)
            ways = [Way((letter,), minutes, tuple(dice.sample(("rack", "bench"), dice.choice((1, 1, 2)))))]
            if dice.random() < 0.4:
                other = max(1, minutes + dice.randint(-1, 1))
                ways.append(Way((f"{letter}'",), other, (), dice.randint(1, 9), instead=True))
            blocks.append(Block(letter, tuple(ways), heavy=letter == "A"))
        over, begins = dice.choice((9, 14)), dice.choice((0, 0, 2))
        people.append(Person(str(at), tuple(blocks), over, begins, warmup=1))
    room = Room(tuple(people), {"rack": 1, "bench": dice.choice((1, 2))})
    return replace(room, settings=room.settings.but(replacement_minutes=2))


def earliest(room, order):
    """Put blocks, in this order, each as early as can be beside those before it; None where somebody is late."""
    placed = [[] for _ in room.people]
    taken = Counter()
    for at, block, way in order:
        one = room.people[at]
        busy = {minute for visit in placed[at] for minute in range(visit.start, visit.end)}
        full = [place for place, count in taken.items() if count == room.stations[place[0]]]
        busy.update(now for key, now in full if key in way.stations)
        starts = range(one.begins + one.warmup, 99)
        start = next(at for at in starts if busy.isdisjoint(range(at, at + way.minutes)))
        if start + way.minutes > one.over:
            return None
        placed[at].append(Visit(block, way, start))
        taken.update((key, now) for key in way.stations for now in range(start, start + way.minutes))
    return placed


def burden(room, at, visits):
    one = room.people[at]
    stay = max(visit.end for visit in visits) - one.begins - one.warmup
    replaced = room.settings.replacement_minutes
    return stay + sum(visit.way.instead * replaced - visit.way.minutes for visit in visits)


def every_choice(room):
    """Give each way to choose ways, one replacement a person at most."""
    blocks = [(at, block) for at, one in enumerate(room.people) for block in one.blocks]
    for ways in product(*(block.ways for _, block in blocks)):
        chosen = [(at, block, way) for (at, block), way in zip(blocks, ways, strict=True)]
        replaced = [at for at, _, way in chosen if way.instead]
        if len(replaced) == len({*replaced}):
            yield chosen


def least_waiting(room):
    """Count every order of all blocks: one of them, each block as early as can be, waits least."""
    placed = (earliest(room, order) for chosen in every_choice(room) for order in permutations(chosen))
    sums = [sum(burden(room, at, visits) for at, visits in enumerate(one)) for one in placed if one]
    return min(sums, default=None)


@pytest.mark.parametrize("seed", range(14))
def test_no_order_of_a_small_room_waits_less(seed):
    room, table = small_room(seed), timetable(small_room(seed))
    least = least_waiting(room)
    assert (table is None) == (least is None)
    if table is not None:
        recheck(room, table)
        assert table.waiting == Aim(least, least)
        assert not table.stopped


def change_of(room, at, visits):
    order = [room.people[at].blocks.index(visit.block) for visit in visits]
    price = sum(visit.way.price for visit in visits)
    for later, now in enumerate(order):
        for before in order[:later]:
            behind = room.people[at].blocks[now].heavy and not room.people[at].blocks[before].heavy
            settings = room.settings
            price += (before > now) * (settings.heavy_order_minutes if behind else settings.order_minutes)
    return price


@pytest.mark.parametrize("seed", range(6))
def test_of_all_timetables_of_two_in_which_nobody_waits_longer_none_changes_less(seed):
    room = small_room(seed)
    room = replace(room, people=room.people[:2])
    table = timetable(room)
    burdens = [burden(room, at, list(visits)) for at, visits in enumerate(table.visits)]
    alone = []  # what each could do, were the other not there
    for at, one in enumerate(room.people):
        free = []
        for ways in product(*(block.ways for block in one.blocks)):
            for starts in product(range(one.begins + one.warmup, one.over), repeat=len(ways)):
                visits = [Visit(*three) for three in zip(one.blocks, ways, starts, strict=True)]
                visits.sort(key=lambda visit: visit.start)
                follow = all(visit.end <= after.start for visit, after in pairwise(visits))
                single = sum(way.instead for way in ways) <= 1 and visits[-1].end <= one.over
                if follow and single and burden(room, at, visits) <= burdens[at]:
                    free.append(visits)
        alone.append(free)

    def clash(one, other):
        return any(
            room.stations[key] < 2 and first.start < second.end and second.start < first.end
            for first, second in product(one, other)
            for key in {*first.way.stations} & {*second.way.stations}
        )

    both = (pair for pair in product(*alone) if not clash(*pair))
    least = min(sum(change_of(room, at, tuple(visits)) for at, visits in enumerate(pair)) for pair in both)
    mine = sum(change_of(room, at, visits) for at, visits in enumerate(table.visits))
    assert (mine, table.change.value, table.change.bound) == pytest.approx((least,) * 3)


def test_a_busy_room_is_sound_and_a_stopped_search_says_what_it_has_not_proven():
    room = busy_room(1, 9)
    first, second = (timetable(room) for _ in range(2))
    recheck(room, first)
    assert first == second
    room = busy_room(1, 24, 2)
    table = timetable(replace(room, settings=room.settings.but(room_effort=0.4)))
    recheck(room, table)
    assert table.stopped
    assert 0 <= table.waiting.bound < table.waiting.value
    room = Room((person("Ann", (("rack",), 20), begins=-10, over=10), person("Bo", (("rack",), 5))), ONE)
    assert [visits[0].start for visits in timetable(room).visits] == [-10, 10]


def test_the_recheck_counts_people_and_waiting_itself():
    room = Room((person("Ann", (("rack",), 5)), person("Bo", (("rack",), 5), (("bench",), 5))), {"rack": 1})
    table = timetable(room)
    recheck(room, table)
    (ann,), (first, second) = table.visits
    rack = first if first.way.stations == ("rack",) else second
    for visits, waiting in (
        (((replace(ann, start=rack.start),), (first, second)), table.waiting),  # two at one rack
        (((ann,), (first, replace(second, start=first.start + 1))), table.waiting),  # two things at once
        (((ann,), (first,)), table.waiting),  # a block left out
        (((replace(ann, start=58),), (first, second)), table.waiting),  # later than may be
        (table.visits, Aim(table.waiting.value + 1, 0)),  # more waiting than there is
    ):
        with pytest.raises(BrokenPlan):
            recheck(room, replace(table, visits=visits, waiting=waiting))


def test_where_it_cannot_be_the_fewest_stations_and_people_are_named_together():
    long = [person(name, (("rack",), 15), (("bench",), 4), over=35) for name in ("Ann", "Bo", "Cy", "Di")]
    light = [person("Ed", (("bench",), 5))]
    room = Room((*light, *long), {"bench": 2, "rack": 1})
    assert timetable(room) is None
    stations, people = too_many(room)
    assert stations == ("rack",)
    assert len(people) == 3
    assert {one.name for one in people} <= {"Ann", "Bo", "Cy", "Di"}
    fewer = replace(room, people=tuple(one for one in room.people if one is not people[0]))
    assert timetable(replace(fewer, people=tuple(one for one in people if one is not people[0]))) is not None
    both = person("Ann", (("rack", "bench"), 6), over=11)
    room = Room((both, person("Bo", (("rack",), 5), (("bench",), 5), over=11)), {"rack": 1, "bench": 1})
    assert timetable(room) is None
    assert too_many(room) == (("rack", "bench"), room.people)
