"""Lines of a motif and their copies sorted so that those of one family never meet."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from loftline.fills.motif.contacts import Contacts
from loftline.project.motif_tile import Leads
from loftline.values import Ints


@dataclass(frozen=True, slots=True, kw_only=True)
class Families:
    """Families by line and by copy.

    Attributes:
        table: ``(lines, a, b)`` the family of a line, by its copy's number along modulo ``a``
            and up modulo ``b``.
    """

    table: Ints

    def of(self, line: int, i: Ints, j: Ints) -> Ints:
        """Of copies ``i`` along and ``j`` up of a line."""
        out: Ints = self.table[line, i % self.table.shape[1], j % self.table.shape[2]]
        return out


def sort_into_families(contacts: Contacts, leads: Sequence[Leads]) -> Families:
    """As few families as a greedy colouring needs, in the order of the lines.

    Copies of a line that touch each other lie as many cells apart as their contact says, so
    one more than the farthest contact is enough to tell them apart.
    """
    across = 1 + int(np.abs(contacts.step[:, 0]).max(initial=0))
    up = 1 + int(np.abs(contacts.step[:, 1]).max(initial=0))
    meets = {
        *zip(
            contacts.first.tolist(),
            contacts.second.tolist(),
            *contacts.step.T.tolist(),
            strict=True,
        )
    }
    rivals: dict[tuple[int, int, int], set[tuple[int, int, int]]] = {}

    def copy(line: int, i: int, j: int) -> tuple[int, int, int]:
        # one that leads on is one line, whatever the number of its copy
        return (
            line,
            0 if leads[line] == "along" else i % across,
            0 if leads[line] == "up" else j % up,
        )

    for first, second, i, j in sorted(meets):
        for x in range(across):
            for y in range(up):
                one, other = copy(first, x, y), copy(second, x + i, y + j)
                rivals.setdefault(one, set()).add(other)
                rivals.setdefault(other, set()).add(one)
    table = np.zeros((len(leads), across, up), np.int64)
    given: dict[tuple[int, int, int], int] = {}
    for spot in np.ndindex(table.shape):
        key = copy(*spot)
        if key not in given:
            taken = {given[other] for other in rivals.get(key, ()) if other in given}
            given[key] = next(n for n in range(len(taken) + 1) if n not in taken)
        table[spot] = given[key]
    return Families(table=table)
