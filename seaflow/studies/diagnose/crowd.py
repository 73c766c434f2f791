"""Boats of several rounds as one crowd, each weighed by how often all rounds together draw her.

A boat that one round drew by luck and seldom would carry a tenth of its answer alone. Beside rounds
that go where she is she carries what she should (the balance heuristic: Veach and Guibas 1995; with
rounds that learn from those before: Cornuet, Marin, Mira and Robert 2012). Where a round goes hangs
on the boats before it, which would then count too little beside it: what was found is called
rarer than it is. So the boats are two halves, and each goes where the other points.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeAlias

import numpy as np

from seaflow.base.arrays import Array
from seaflow.model.conditions import take
from seaflow.studies.diagnose.hypotheses import Guess, drawn_oftener, own_oftener, parts_of
from seaflow.studies.diagnose.simulate import Flotilla

Weighed: TypeAlias = tuple[tuple[Flotilla, Array], ...]


@dataclass(frozen=True, slots=True, eq=False)
class Round:
    """Boats of one round, the guesses they were drawn with, and the logarithm of what each weighs.

    Of two guesses each is for half of the boats, one after the other; None draws by the odds.
    `strays` is how likely it is of each that no boat of the plan reads so, and `owns` whether own
    figures went where the guess points, too.
    """

    flotilla: Flotilla
    log_weight: Array
    strays: Array
    guesses: tuple[Guess | None, ...]
    owns: bool = True

    def drawn(self, like: Round, crosswise: bool = False) -> Array:
        """Return how often this round draws each boat of a round over her odds, in logarithms.

        Boats of a half are held to the guess of that half, or `crosswise` to that of the other.
        """
        guesses = self.guesses[::-1] if crosswise else self.guesses
        parts = parts_of(like.flotilla.hypotheses.size, len(guesses))
        pairs = zip(guesses, parts, strict=True)
        return np.concatenate([self._oftener(like, guess, part) for guess, part in pairs])

    def _oftener(self, like: Round, guess: Guess | None, part: slice) -> Array:
        faults, boats = like.flotilla.setup.faults, take(like.flotilla.hypotheses, part)
        found = drawn_oftener(faults, boats, guess) + np.log(self.flotilla.hypotheses.size)
        if guess is not None and self.owns:
            found = found + own_oftener(guess, boats.first, like.flotilla.shares[:, part])
        return np.asarray(found)


@dataclass(frozen=True, slots=True, eq=False)
class Crowd:
    """All rounds; `by_odds` has what each boat would weigh had her round drawn by the odds.

    `drawn` is how often all rounds together draw her over her odds. Both are in logarithms, with a
    row for each round.
    """

    rounds: tuple[Round, ...] = ()
    by_odds: tuple[Array, ...] = ()
    drawn: tuple[Array, ...] = ()

    def joined_by(self, new: Round) -> Crowd:
        """Return the crowd with the boats of one more round."""
        own = new.drawn(new)
        every = np.logaddexp.reduce([own, *(one.drawn(new) for one in self.rounds)], axis=0)
        before = zip(self.drawn, self.rounds, strict=True)
        return Crowd(
            (*self.rounds, new),
            (*self.by_odds, new.log_weight + own),
            (*(np.logaddexp(sums, new.drawn(one)) for sums, one in before), every),
        )

    @property
    def weights(self) -> tuple[Array, ...]:
        """The weight of each boat, a row for each round; all together they are whole."""
        return self._over(self.drawn)

    @property
    def weights_of_few(self) -> tuple[Array, ...]:
        """The same where few boats agree: each is held to where either half points.

        Then some point at themselves and count a little too little, but no few carry all.
        """
        cross = [[one.drawn(like, crosswise=True) for one in self.rounds] for like in self.rounds]
        pairs = zip(self.drawn, cross, strict=True)
        return self._over(tuple(np.logaddexp.reduce([mine, *others]) for mine, others in pairs))

    def _over(self, drawn: tuple[Array, ...]) -> tuple[Array, ...]:
        logs = [by_odds - sums for by_odds, sums in zip(self.by_odds, drawn, strict=True)]
        most = max(float(row.max()) for row in logs)
        found = [np.exp(row - most) for row in logs]
        total = sum(float(row.sum()) for row in found)
        return tuple(row / total for row in found)

    @property
    def halves(self) -> tuple[Weighed, ...]:
        """The boats of each round as each half weighs them: what is of the other weighs nought."""
        weighed = self.weighed
        return tuple(
            tuple(
                (flotilla, _kept(weight, parts_of(weight.size, 2)[half]))
                for flotilla, weight in weighed
            )
            for half in (0, 1)
        )

    @property
    def weighed(self) -> Weighed:
        """The boats of each round, and their weights."""
        return tuple(zip((one.flotilla for one in self.rounds), self.weights, strict=True))

    @property
    def effective(self) -> float:
        """How many equally weighed boats would tell as much."""
        return 1.0 / sum(float(row @ row) for row in self.weights)


def _kept(weight: Array, part: slice) -> Array:
    kept = np.zeros(weight.size)
    kept[part] = weight[part]
    return kept
