"""The lateral model: where the belt runs under given forcings, and which forcing moves which place.

Hermite beam elements between nodes, rolls as grip and centring at their nodes, pulleys as a hard
change of heading; the loop is closed by a rank-one update instead of a wide band.
"""

from functools import cached_property

import numpy as np
from scipy.linalg import lapack
from scipy.sparse import coo_array, csr_array

from diagnostics.mechanics.line import Line
from diagnostics.mechanics.nodes import Floats

BANDS = 3
# An offset handed once round the loop loses at least this share; engineering judgement.
LEAST_LEFT = 0.02
# What is left of an offset handed once round the loop; above this nothing centres the belt;
# engineering judgement.
ADRIFT_GAIN = 0.9
# A self-aligning set turns against the offset by so much, 0.2-0.8; from memory. [rad/m]
SELF_ALIGNING_RAD_PER_M = 0.4


class LateralModel:
    """Linear steady model of one line; unknowns (y, dy/ds) node by node, 2 n in all.

    Parameters
    ----------
    line : Line
    stuck : tuple of str
        Names of self-aligning sets that do not turn any more.

    Notes
    -----
    Weak form of EI y'''' - (T y')' + k y = sum C_i (eps_i - y') + q. At a pulley's first touch the
    heading is given (its row replaces the shear row) and the moment is free; at its leaving
    tangent position and heading are given. Position passes downstream through a pulley, moment
    and slope do not.
    """

    def __init__(self, line: Line, stuck: tuple[str, ...] = ()) -> None:
        self.line, self.stuck = line, stuck
        self.size = 2 * len(line.nodes.s_m)
        # Band storage: entry (row, column) of the matrix at [BANDS + row - column, column].
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
        rows = self.line.nodes.roll_rows
        own, material = self.line.centring_n_m
        grip = self.line.grip_n_rad
        self._add(rows, rows, own + material + grip * self._steering_rad_m())
        self._add(rows, rows + 1, grip)
        for pulley in self.line.nodes.pulleys:
            self._replace(2 * pulley.node_in, {2 * pulley.node_in + 1: 1.0})
            if pulley.node_out:
                self._replace(
                    2 * pulley.node_out, {2 * pulley.node_out: 1.0, 2 * pulley.node_in: -1.0}
                )
                self._replace(2 * pulley.node_out + 1, {2 * pulley.node_out + 1: 1.0})
        # Row 0 is y(0) = y_tail + dy: its far entry is the rank-one update of `_close`.
        self._replace(0, {0: 1.0})
        self._replace(1, {1: 1.0})

    def _steering_rad_m(self) -> Floats:
        """What each roll turns against an offset: nothing unless it is a free self-aligning set."""
        nodes = self.line.nodes
        turning = nodes.roll_is_self_aligning.copy()
        if self.stuck:
            turning &= [roll.name not in self.stuck for roll in nodes.rolls]
        return np.where(turning, SELF_ALIGNING_RAD_PER_M, 0.0)

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

    @cached_property
    def elastic(self) -> csr_array:
        """Bending and tension stiffness alone, its given rows empty, shape (2 n, 2 n)."""
        corners = 2 * self._element_starts[:, None] + np.arange(4)
        rows = np.repeat(corners, 4, axis=1).ravel()
        columns = np.tile(corners, (1, 4)).ravel()
        values = np.where(self.given_rows[rows], 0.0, self.element_matrices.ravel())
        return csr_array(coo_array((values, (rows, columns)), shape=(self.size, self.size)))

    def elastic_product(self, vectors: np.ndarray) -> np.ndarray:
        """Bending and tension stiffness times vectors, shape (2 n, m); 0 in given rows."""
        result: np.ndarray = self.elastic @ vectors
        return result

    # -- solving ----------------------------------------------------------------------------------
    @property
    def _tail(self) -> int:
        return 2 * self.line.nodes.pulleys[-1].node_in

    @cached_property
    def _factors(self) -> tuple[np.ndarray, np.ndarray]:
        """Transposed band matrix as lower times upper triangle, with the order of its rows.

        Transposed, because what is compared while it is taken apart then belongs to one row of
        the model: headings of 1 and stiffnesses of 1e7 never compete.
        """
        turned = np.zeros((3 * BANDS + 1, self.size))
        for offset in range(-BANDS, BANDS + 1):
            # Entry (r, c) with r - c = offset sits at [BANDS + offset, c]; transposed at (c, r).
            columns = np.arange(max(0, -offset), min(self.size, self.size - offset))
            turned[2 * BANDS - offset, columns + offset] = self._bands[BANDS + offset, columns]
        factors, order, failed = lapack.dgbtrf(turned, BANDS, BANDS, overwrite_ab=True)
        if failed:
            raise ValueError(f"the lateral model has no solution (row {failed} of its matrix)")
        return factors, order

    def _solved(self, forcing: np.ndarray, *, transposed: bool = False) -> np.ndarray:
        """The open loop's answer to one forcing, shape (2 n,).

        One at a time, so that no answer depends on which others were asked for with it.
        """
        factors, order = self._factors
        result, _ = lapack.dgbtrs(factors, BANDS, BANDS, forcing, order, trans=int(not transposed))
        return np.asarray(result)

    @cached_property
    def _once_round(self) -> np.ndarray:
        """Where the belt runs when the tail hands on an offset of 1."""
        seed = np.zeros(self.size)
        seed[0] = 1.0
        return self._solved(seed)

    @cached_property
    def _felt_at_tail(self) -> np.ndarray:
        """How each forcing moves the belt where it meets the tail, loop open."""
        seed = np.zeros(self.size)
        seed[self._tail] = 1.0
        return self._solved(seed, transposed=True)

    @cached_property
    def loop_gain(self) -> float:
        """What is left of an offset handed once round the loop; near 1 nothing centres the belt."""
        return float(self._once_round[self._tail])

    @property
    def is_adrift(self) -> bool:
        """Whether nothing centres the belt, so that it drifts whatever drives it."""
        return self.loop_gain > ADRIFT_GAIN

    @cached_property
    def _left(self) -> float:
        # Gains near 1 belong to belts that nothing centres: they drift until something stops them.
        return max(1.0 - self.loop_gain, LEAST_LEFT)

    def solve(self, forcing: np.ndarray) -> np.ndarray:
        """Offsets and headings under forcings.

        Parameters
        ----------
        forcing : array, shape (2 n,) or (2 n, m)
            Right-hand sides, balance rows in N and N m, given rows in m and rad.

        Returns
        -------
        array of the same shape
            (y, dy/ds) node by node. [m], [rad]

        Notes
        -----
        The loop is closed after Sherman and Morrison: (B - e_0 e_tail') x = f.
        """
        if forcing.ndim > 1:
            return np.stack([self.solve(one) for one in forcing.T], axis=1)
        free = self._solved(forcing)
        return free + self._once_round * (free[self._tail] / self._left)

    def sensitivity(self, positions_m: Floats) -> np.ndarray:
        """How each forcing row moves the belt at given places: the adjoint.

        Parameters
        ----------
        positions_m : array, shape (m,)
            Loop positions of the readings, 0 to the length of the loop. [m]

        Returns
        -------
        array, shape (2 n, m)
            d y(position) / d forcing row: one column a reading.

        Raises
        ------
        ValueError
            A position that is no number or not on the loop.
        """
        positions = np.asarray(positions_m, dtype=float)
        columns = [self.sensitivity_at(float(position)) for position in positions]
        return np.stack(columns, axis=1) if columns else np.zeros((self.size, 0))

    def sensitivity_at(self, position_m: float) -> np.ndarray:
        """As `sensitivity`, of one place, shape (2 n,)."""
        length_m = self.line.data.loop.length_m
        if not 0 <= position_m <= length_m:
            raise ValueError(f"position_m must be from 0 to {length_m:.3f} m, got {position_m!r}")
        free = self._solved(self._pick(np.array([position_m]))[:, 0], transposed=True)
        return free + self._felt_at_tail * (free[0] / self._left)

    def offsets_m(self, solution: np.ndarray, positions_m: Floats) -> np.ndarray:
        """Offset at places, from what `solve` gave, shape (m,) or (m, forcings). [m]"""
        result: np.ndarray = self._pick(positions_m).T @ solution
        return result

    def _pick(self, positions_m: Floats) -> np.ndarray:
        """Cubic interpolation weights of y at places, shape (2 n, m)."""
        s_m = self.line.nodes.s_m
        at = np.asarray(positions_m, dtype=float)
        left = np.clip(np.searchsorted(s_m, at, "right") - 1, 0, len(s_m) - 2)
        h = s_m[left + 1] - s_m[left]
        x = np.clip((at - s_m[left]) / np.where(h > 0, h, 1.0), 0.0, 1.0)
        weights = np.zeros((self.size, len(at)))
        columns = np.arange(len(at))
        weights[2 * left, columns] = 1 - 3 * x**2 + 2 * x**3
        weights[2 * left + 1, columns] = h * (x - 2 * x**2 + x**3)
        weights[2 * left + 2, columns] = 3 * x**2 - 2 * x**3
        weights[2 * left + 3, columns] = h * (x**3 - x**2)
        return weights
