"""The lateral model: where the belt runs under given forcings, and which forcing moves which place.

Hermite beam elements between nodes, rolls as grip and centring at their nodes, pulleys as a hard
change of heading; the loop is closed by a rank-one update instead of a wide band.
"""

from functools import cached_property

import numpy as np
from scipy.linalg import solve_banded

from diagnostics.mechanics.line import Line
from diagnostics.mechanics.nodes import Floats

BANDS = 3
# An offset handed once round the loop loses at least this share; engineering judgement.
LEAST_LEFT = 0.02
# A self-aligning set turns against the offset by so much, 0.2-0.8; from memory. [rad/m]
SELF_ALIGNING_RAD_PER_M = 0.4


class LateralModel:
    """Linear steady model of one line; unknowns (y, dy/ds) node by node, 2 n in all.

    Notes
    -----
    Weak form of EI y'''' - (T y')' + k y = sum C_i (eps_i - y') + q. At a pulley's first touch the
    heading is given (its row replaces the shear row) and the moment is free; at its leaving
    tangent position and heading are given. Position passes downstream through a pulley, moment
    and slope do not.
    """

    def __init__(self, line: Line) -> None:
        self.line = line
        self.size = 2 * len(line.nodes.s_m)
        # Band storage of scipy.linalg.solve_banded: ab[BANDS + row - column, column].
        self._bands = np.zeros((2 * BANDS + 1, self.size))
        self._assemble()

    # -- assembly ---------------------------------------------------------------------------------
    @cached_property
    def _element_starts(self) -> np.ndarray:
        """First node of each element; none within a pulley's wrap."""
        starts = np.arange(len(self.line.nodes.s_m) - 1)
        closed = [pulley.node_in for pulley in self.line.nodes.pulleys]
        return starts[~np.isin(starts, closed)]

    @cached_property
    def element_matrices(self) -> np.ndarray:
        """Bending and tension stiffness of each element, shape (elements, 4, 4)."""
        starts = self._element_starts
        s_m, tension = self.line.nodes.s_m, self.line.tension_n
        h = s_m[starts + 1] - s_m[starts]
        bending = self.line.data.belt.bending_n_m2 / h**3
        pull = 0.5 * (tension[starts] + tension[starts + 1]) / (30 * h)
        one, zero = np.ones_like(h), h * h
        k_b = np.array(
            [
                [12 * one, 6 * h, -12 * one, 6 * h],
                [6 * h, 4 * zero, -6 * h, 2 * zero],
                [-12 * one, -6 * h, 12 * one, -6 * h],
                [6 * h, 2 * zero, -6 * h, 4 * zero],
            ]
        )
        k_t = np.array(
            [
                [36 * one, 3 * h, -36 * one, 3 * h],
                [3 * h, 4 * zero, -3 * h, -zero],
                [-36 * one, -3 * h, 36 * one, -3 * h],
                [3 * h, -zero, -3 * h, 4 * zero],
            ]
        )
        return np.moveaxis(k_b * bending + k_t * pull, 2, 0)

    def _add(self, row: np.ndarray, column: np.ndarray, value: np.ndarray) -> None:
        np.add.at(self._bands, (BANDS + row - column, column), value)

    def _assemble(self) -> None:
        starts, matrices = self._element_starts, self.element_matrices
        for i in range(4):
            for j in range(4):
                self._add(2 * starts + i, 2 * starts + j, matrices[:, i, j])
        nodes = np.array([roll.node for roll in self.line.nodes.rolls], dtype=int)
        own, material = self.line.centring_n_m
        steering = np.array(
            [SELF_ALIGNING_RAD_PER_M if r.is_self_aligning else 0.0 for r in self.line.nodes.rolls]
        )
        grip = self.line.grip_n_rad
        self._add(2 * nodes, 2 * nodes, own + material + grip * steering)
        self._add(2 * nodes, 2 * nodes + 1, grip)
        for pulley in self.line.nodes.pulleys:
            self._replace(2 * pulley.node_in, {2 * pulley.node_in + 1: 1.0})
            if pulley.node_out:
                self._replace(
                    2 * pulley.node_out, {2 * pulley.node_out: 1.0, 2 * pulley.node_in: -1.0}
                )
                self._replace(2 * pulley.node_out + 1, {2 * pulley.node_out + 1: 1.0})
        # Row 0 is y(0) = y_tail + dy: its far entry is the rank-one update in `_closed`.
        self._replace(0, {0: 1.0})
        self._replace(1, {1: 1.0})

    def _replace(self, row: int, entries: dict[int, float]) -> None:
        low, high = max(0, row - BANDS), min(self.size, row + BANDS + 1)
        columns = np.arange(low, high)
        self._bands[BANDS + row - columns, columns] = 0.0
        for column, value in entries.items():
            self._bands[BANDS + row - column, column] = value

    @cached_property
    def given_rows(self) -> np.ndarray:
        """Rows that state a heading or position instead of a balance, shape (2 n,), bool."""
        given = np.zeros(self.size, dtype=bool)
        for pulley in self.line.nodes.pulleys:
            given[[2 * pulley.node_in, 2 * pulley.node_out, 2 * pulley.node_out + 1]] = True
        return given

    def elastic_product(self, vectors: np.ndarray) -> np.ndarray:
        """Bending and tension stiffness times vectors, element by element.

        Parameters
        ----------
        vectors : array, shape (2 n, m)

        Returns
        -------
        array, shape (2 n, m)
            K_el x; the matrix is symmetric, so its transpose gives the same.
        """
        starts = self._element_starts
        local = np.stack([vectors[2 * starts + i] for i in range(4)], axis=1)
        turned = np.einsum("eij,ejm->eim", self.element_matrices, local)
        result = np.zeros_like(vectors)
        for i in range(4):
            np.add.at(result, 2 * starts + i, turned[:, i])
        return result

    # -- solving ----------------------------------------------------------------------------------
    @property
    def _tail(self) -> int:
        return 2 * self.line.nodes.pulleys[-1].node_in

    @cached_property
    def _transposed(self) -> np.ndarray:
        """Bands of the transposed matrix."""
        turned = np.zeros_like(self._bands)
        for offset in range(-BANDS, BANDS + 1):
            # Entry (r, c) with r - c = offset sits at [BANDS + offset, c]; transposed at (c, r).
            columns = np.arange(max(0, -offset), min(self.size, self.size - offset))
            turned[BANDS - offset, columns + offset] = self._bands[BANDS + offset, columns]
        return turned

    @cached_property
    def loop_gain(self) -> float:
        """What is left of an offset handed once round the loop; near 1 nothing centres the belt."""
        seed = np.zeros(self.size)
        seed[0] = 1.0
        return float(solve_banded((BANDS, BANDS), self._bands, seed)[self._tail])

    def _closed(self, bands: np.ndarray, rhs: np.ndarray, seed: int, tap: int) -> np.ndarray:
        """Solve (B - e_seed e_tap') x = rhs by Sherman and Morrison, many right-hand sides."""
        unit = np.zeros((self.size, 1))
        unit[seed, 0] = 1.0
        solved = solve_banded((BANDS, BANDS), bands, np.hstack([rhs, unit]))
        free, around = solved[:, :-1], solved[:, -1:]
        # Gains near 1 belong to belts that nothing centres: they drift until something stops them.
        left = max(1.0 - around[tap, 0], LEAST_LEFT)
        return free + around * (free[tap] / left)

    def solve(self, forcing: np.ndarray) -> np.ndarray:
        """Offsets and headings under forcings.

        Parameters
        ----------
        forcing : array, shape (2 n, m)
            Right-hand sides, balance rows in N and N m, given rows in m and rad.

        Returns
        -------
        array, shape (2 n, m)
            (y, dy/ds) node by node. [m], [rad]
        """
        return self._closed(self._bands, forcing, 0, self._tail)

    def sensitivity(self, positions_m: Floats) -> np.ndarray:
        """How each forcing row moves the belt at given places: the adjoint.

        Parameters
        ----------
        positions_m : array, shape (m,)
            Loop positions of the readings. [m]

        Returns
        -------
        array, shape (2 n, m)
            d y(position) / d forcing row: one column a reading.
        """
        return self._closed(self._transposed, self._pick(positions_m), self._tail, 0)

    def _pick(self, positions_m: Floats) -> np.ndarray:
        """Cubic interpolation weights of y at places, shape (2 n, m)."""
        s_m = self.line.nodes.s_m
        weights = np.zeros((self.size, len(positions_m)))
        for column, position in enumerate(np.asarray(positions_m, dtype=float)):
            left = int(np.clip(np.searchsorted(s_m, position, "right") - 1, 0, len(s_m) - 2))
            h = s_m[left + 1] - s_m[left]
            x = min(max((position - s_m[left]) / h, 0.0), 1.0) if h > 0 else 0.0
            weights[2 * left : 2 * left + 4, column] = (
                1 - 3 * x**2 + 2 * x**3,
                h * (x - 2 * x**2 + x**3),
                3 * x**2 - 2 * x**3,
                h * (x**3 - x**2),
            )
        return weights
