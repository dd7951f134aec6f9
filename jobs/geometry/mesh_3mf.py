"""Read 3MF: what its build lists, each part placed by its transforms, in the unit that the file states."""

from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from typing import Any, BinaryIO
from xml.sax.handler import ContentHandler

import numpy as np

from jobs.geometry.errors import GeometryError
from jobs.geometry.mesh_limits import MAX_LEVELS
from jobs.geometry.model_3mf import MM_PER_UNIT, Model, ModelObject, Use, damaged, parse, read_model
from jobs.geometry.package_3mf import Package
from jobs.geometry.placing import joined, placed, refuse_too_many
from jobs.geometry.raw_mesh import Doubles, Floats, Ints, RawMesh, checked_mesh, refuse_bad_points

_RELATIONS = "_rels/.rels"
_MODEL_KIND = "http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel"
_MOST_PLACES = 100_000
Key = tuple[str, int]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Weight:
    """What placing an object once comes to, with all that it is put together from."""

    faces: int
    points: int
    places: int
    levels: int


@dataclass(slots=True, kw_only=True)
class _Book:
    """The model parts that were read, by name, and the objects in them."""

    package: Package
    root: str
    models: dict[str, Model] = field(default_factory=dict)
    weights: dict[Key, _Weight] = field(default_factory=dict)

    def model(self, part: str) -> Model:
        name = (part or self.root).lstrip("/").lower()
        if name not in self.models:
            self.models[name] = read_model(self.package.pieces(name))
            if self.models[name].unit != self.models[self.root].unit:
                raise GeometryError("The parts of the 3MF file are in different units. Export the scan again, or as binary STL.")
        return self.models[name]

    def key(self, use: Use, part: str) -> Key:
        return (use.part or part).lstrip("/").lower(), use.number

    def object(self, key: Key) -> ModelObject:
        found = self.model(key[0]).objects.get(key[1])
        if found is None:
            raise damaged(f"it uses object {key[1]}, which is not there")
        return found

    def wanted(self, key: Key) -> bool:
        return self.object(key).kind == "model"

    def uses(self, key: Key) -> Iterator[tuple[Key, Doubles]]:
        for use in self.object(key).uses:
            below = self.key(use, key[0])
            if self.wanted(below):
                yield below, use.matrix


def read_3mf(stream: BinaryIO) -> RawMesh:
    """Read a 3MF file; its points are turned into millimetres."""
    package = Package(stream)
    root = _root_part(package)
    book = _Book(package=package, root=root)
    model = book.model(root)
    built = [(book.key(use, root), use.matrix) for use in model.build]
    kept = [(key, matrix) for key, matrix in built if book.wanted(key)]
    _refuse_too_much(book, [key for key, _ in kept])
    parts = list(_placed_parts(book, kept))
    bad = sum(int(np.count_nonzero(~np.isfinite(points).all(axis=1))) for points, _ in parts)
    refuse_bad_points(bad, sum(len(points) for points, _ in parts))
    points, faces = joined(parts)
    mesh = checked_mesh(points * MM_PER_UNIT[model.unit], faces)
    return replace(mesh, unit="mm", up_axis="z", said=_said(model.unit, left_out=len(built) - len(kept)))


def _said(unit: str, *, left_out: int) -> str:
    words = "The file states its unit: the millimetre."
    if unit != "millimeter":
        words = f"The file states its unit, the {unit.replace('meter', 'metre')}; its points were turned into millimetres."
    return words + (f" {left_out} of its parts are supports and were left out." if left_out else "")


def _root_part(package: Package) -> str:
    relations = _Relations()
    if package.holds(_RELATIONS):
        parse(package.pieces(_RELATIONS), relations)
    name = relations.model or "3d/3dmodel.model"
    if not package.holds(name):
        raise GeometryError("This zip archive holds no 3MF model. Export the scan again, or as binary STL.")
    return name.lstrip("/").lower()


class _Relations(ContentHandler):
    """Finds the part that the archive names as its model."""

    def __init__(self) -> None:
        super().__init__()
        self.model = ""

    def startElement(self, name: str, attrs: Any) -> None:
        if name.rpartition(":")[2] == "Relationship" and attrs.get("Type") == _MODEL_KIND and not self.model:
            self.model = attrs.get("Target", "")


def _refuse_too_much(book: _Book, roots: list[Key]) -> None:
    """Count what placing everything comes to, each object once, before anything is placed."""
    begun: set[Key] = set()
    waiting = [(key, False) for key in roots]
    while waiting:
        key, below_done = waiting.pop()
        if below_done:
            book.weights[key] = _weight(book, key)
            if book.weights[key].levels > MAX_LEVELS:
                raise GeometryError(
                    f"The 3MF file nests its parts more than {MAX_LEVELS} levels deep. Join them into one mesh and export it "
                    "again."
                )
            continue
        if key in book.weights:
            continue
        if key in begun:
            raise damaged(f"object {key[1]} is put together from itself")
        begun.add(key)
        waiting.append((key, True))
        waiting += [(below, False) for below, _ in book.uses(key) if below not in book.weights]
    totals = [book.weights[key] for key in roots]
    refuse_too_many(sum(total.faces for total in totals), sum(total.points for total in totals))
    if sum(total.places for total in totals) > _MOST_PLACES:
        raise GeometryError(
            f"The 3MF file puts its parts in more than {_MOST_PLACES:,} places. Join them into one mesh and export it again."
        )


def _weight(book: _Book, key: Key) -> _Weight:
    own = book.object(key)
    below = [book.weights[other] for other, _ in book.uses(key)]
    return _Weight(
        faces=len(own.corners) // 3 + sum(weight.faces for weight in below),
        points=len(own.points) // 3 + sum(weight.points for weight in below),
        places=1 + sum(weight.places for weight in below),
        levels=1 + max((weight.levels for weight in below), default=0),
    )


def _placed_parts(book: _Book, roots: list[tuple[Key, Doubles]]) -> Iterator[tuple[Floats, Ints]]:
    meshes: dict[Key, tuple[Floats, Ints]] = {}
    waiting = list(reversed(roots))
    while waiting:
        key, matrix = waiting.pop()
        if not np.isfinite(matrix).all():
            raise damaged(f"object {key[1]} is placed by numbers beyond all measure")
        if key not in meshes:
            meshes[key] = _checked(book.object(key), key[1])
        if len(meshes[key][1]):
            yield placed(*meshes[key], matrix)
        with np.errstate(over="ignore", invalid="ignore"):
            waiting += [(below, matrix @ other) for below, other in book.uses(key)]


def _checked(found: ModelObject, number: int) -> tuple[Floats, Ints]:
    points, faces = found.mesh()
    if len(faces) and int(faces.max()) >= len(points):
        raise GeometryError(
            f"A face of object {number} refers to point {int(faces.max()) + 1:,}, but it has {len(points):,} points: the file "
            "is damaged. Export the scan again."
        )
    return points, faces
