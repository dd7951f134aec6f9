"""How far inside the fill a point lies: from the fresh coats on one side and from the shell's side on the other."""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from jobs.geometry.raw_mesh import Doubles
from jobs.geometry.study.field import DistanceField

Axes = tuple[Doubles, Doubles, Doubles]


@dataclass(frozen=True, slots=True, kw_only=True)
class Clearance:
    """Reads the distance to the nearest boundary of the fill, positive inside it.

    Made by `clearance_of`; `step_mm` is the coarser of the two fields' steps, `blur_mm` how far readings are off where the
    sides are smooth.
    """

    distance: DistanceField
    outside: DistanceField
    wall_mm: float
    on_board: bool
    step_mm: float
    blur_mm: float

    def on(self, axes: Axes) -> NDArray[np.float32]:
        """Read it on the nodes of a grid given by its three axes [mm]; the board is no boundary."""
        coats = _on_grid(self.distance, axes) - np.float32(self.wall_mm)
        found: NDArray[np.float32] = np.minimum(coats, -_on_grid(self.outside, axes))
        return found

    def nodes(self) -> tuple[Axes, NDArray[np.float32]]:
        """Return the axes of the field of distances, and the clearance on its nodes."""
        axes = _axes(self.distance)
        return axes, self.on(axes)


def clearance_of(
    distance: DistanceField, outside: DistanceField, *, wall_mm: float, least_mm: float, need_mm: float, on_board: bool
) -> Clearance:
    """Make a reader that tells clearances up to `need_mm`, wherever they reach `least_mm`.

    The fields are cut to the box of such places with `need_mm` around, and continued where they are exact on a narrower band.
    """
    step = max(distance.step_mm, outside.step_mm)
    plain = Clearance(
        distance=distance, outside=outside, wall_mm=wall_mm, on_board=on_board, step_mm=step, blur_mm=step / 50
    )  # fmt: skip
    axes, values = plain.nodes()
    near = values >= least_mm - 0.87 * step  # beyond their band fields are never nearer than the truth: none is missed
    if not near.any():
        return plain
    spans = [axis[near.any(axis=tuple({0, 1, 2} - {k}))][[0, -1]] for k, axis in enumerate(axes)]
    low, high = (np.array([span[end] for span in spans]) for end in (0, 1))
    around = need_mm + 2 * step
    to_piece = _reaching(_cut(distance, low - around, high + around), wall_mm + need_mm, sign=1.0)
    to_outside = _reaching(_cut(outside, low - around, high + around), need_mm, sign=-1.0)
    continued = np.isinf(to_piece.high_mm) > np.isinf(distance.high_mm) or np.isinf(to_outside.low_mm) > np.isinf(outside.low_mm)
    return replace(
        plain, distance=to_piece, outside=to_outside, blur_mm=step / 50 + (step / 10 if continued else 0.0)
    )  # fmt: skip


def _cut(field: DistanceField, low: Doubles, high: Doubles) -> DistanceField:
    """Cut a field to the nodes around a box."""
    shape = np.array(field.values.shape)
    first = np.clip(np.floor((low - field.origin) / field.step_mm).astype(np.int64), 0, shape - 2)
    last = np.clip(np.ceil((high - field.origin) / field.step_mm).astype(np.int64), first + 1, shape - 1)
    inside = tuple(slice(a, b + 1) for a, b in zip(first.tolist(), last.tolist(), strict=True))
    return replace(field, values=np.ascontiguousarray(field.values[inside]), origin=field.origin + first * field.step_mm)


def _reaching(field: DistanceField, need_mm: float, *, sign: float) -> DistanceField:
    """Continue a field beyond its exact band: from the nearest exact node, straight on, unless the field itself says less.

    Exact where that node lies on the way to the surface, otherwise too far by a fraction of a step.
    """
    from scipy.ndimage import distance_transform_edt

    edge = field.high_mm if sign > 0 else -field.low_mm
    if edge >= need_mm + field.step_mm:
        return field
    values = sign * field.values
    beyond = values > edge - 0.5 * field.step_mm
    if not beyond.any() or beyond.all():
        return field
    gap, nearest = distance_transform_edt(beyond, sampling=field.step_mm, return_indices=True)
    further = (values[tuple(nearest)] + gap).astype(np.float32)
    values = np.where(beyond, np.minimum(further, values), values)
    reach = {"high_mm": np.inf, "low_mm": field.low_mm} if sign > 0 else {"high_mm": field.high_mm, "low_mm": -np.inf}
    return DistanceField(values=np.float32(sign) * values, origin=field.origin, step_mm=field.step_mm, **reach)


def _axes(field: DistanceField) -> Axes:
    x, y, z = (start + field.step_mm * np.arange(count) for start, count in zip(field.origin, field.values.shape, strict=True))
    return x, y, z


def _on_grid(field: DistanceField, axes: Axes) -> NDArray[np.float32]:
    """Read a field on a grid, one axis after the other: the same as linear reading in all three, and faster."""
    found = field.values
    for axis, places in enumerate(axes):
        at = np.clip((places - field.origin[axis]) / field.step_mm, 0.0, found.shape[axis] - 1.0)
        low = np.minimum(at.astype(np.int64), max(found.shape[axis] - 2, 0))
        high = np.minimum(low + 1, found.shape[axis] - 1)
        shape = [1, 1, 1]
        shape[axis] = len(places)
        share = (at - low).astype(np.float32).reshape(shape)
        below, above = found.take(low, axis=axis), found.take(high, axis=axis)
        found = below + share * (above - below)
    return found
