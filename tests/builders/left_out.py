"""Each study left out of the pooling: what the rest says of it, against what it found."""

from itertools import combinations

import numpy as np

from library.errors import FaultyInput
from library.pool import echoes, pool_head

Group = tuple[str, np.ndarray, np.ndarray]
WITHIN_90 = 1.645  # standard errors


def pooled_without(library, head, study, with_echoes=False):
    """Pool a head without a study and, unless asked for, the practice rows that echo it: they are what it said."""
    rows = [row for row in library.evidence if row.head == head.key]
    echo_of = {} if with_echoes else echoes(rows)
    rest = [row for row in rows if row.study != study and echo_of.get(row.id) != study]
    try:
        return pool_head(head.key, head.anchor, tuple(library.exercises), rest)
    except FaultyInput as error:  # nothing but that study told of these
        loose = {fault.where for fault in error.faults}
    rest = [row for row in rest if not loose & {row.exercise, row.against}]
    return pool_head(head.key, head.anchor, tuple(library.exercises), rest)


def held_out(library):
    """Yield each group of each study left out: deviations of its log means, and their stated covariance."""
    for head in library.heads.values():
        rows = [row for row in library.evidence if row.head == head.key]
        whole = pool_head(head.key, head.anchor, tuple(library.exercises), rows)
        error = dict(zip(whole.rows, whole.errors, strict=True))
        groups = {}
        for row in rows:
            if row.against is None and row.id in error:
                groups.setdefault(row.group, []).append(row)
        for group in groups.values():
            without = pooled_without(library, head, group[0].study)
            group = [row for row in group if row.exercise in without.exercises]
            at = [without.exercises.index(row.exercise) for row in group]
            stated = without.covariance[np.ix_(at, at)] + np.diag([error[row.id] ** 2 for row in group])
            off = np.log([r.mean for r in group]) - without.theta[at]
            yield group[0].status if group else "", off, stated


def judged(groups, statuses):
    """Return the share of contrasts inside their 90 % range, chi² by degree of freedom, and the degrees."""
    inside = []
    chi_squared, degrees = 0.0, 0
    for status, deviations, stated in groups:
        if status in statuses and len(deviations) > 1:
            for one, other in combinations(range(len(deviations)), 2):
                error = (stated[one, one] + stated[other, other] - 2 * stated[one, other]) ** 0.5
                inside.append(abs(deviations[one] - deviations[other]) <= WITHIN_90 * error)
            first = np.eye(len(deviations))[1:] - np.eye(len(deviations))[0]
            contrasts = first @ deviations
            chi_squared += contrasts @ np.linalg.solve(first @ stated @ first.T, contrasts)
            degrees += len(deviations) - 1
    return sum(inside) / len(inside), chi_squared / degrees, degrees
