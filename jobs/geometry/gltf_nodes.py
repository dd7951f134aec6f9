"""Where the meshes of a glTF file stand: its nodes, each placed by its parents."""

import numpy as np

from jobs.geometry.errors import GeometryError
from jobs.geometry.gltf_document import GltfDocument
from jobs.geometry.mesh_limits import MAX_LEVELS
from jobs.geometry.raw_mesh import Doubles


def placed_meshes(document: GltfDocument) -> list[tuple[int, Doubles]]:
    """Return the number of each mesh in the scene and its 4×4 matrix, once for every place where it stands.

    Raises
    ------
    GeometryError
        When nodes go in circles, are listed twice, or lie more than `MAX_LEVELS` deep.
    """
    found: list[tuple[int, Doubles]] = []
    seen: set[int] = set()
    open_nodes = [(index, 1, np.eye(4)) for index in _roots(document)]
    while open_nodes:
        index, level, above = open_nodes.pop()
        node = document.row("nodes", index)
        assert isinstance(index, int)
        if index in seen:
            raise document.damaged(f"node {index} stands in more than one place, or its nodes go in a circle")
        seen.add(index)
        if level > MAX_LEVELS:
            raise GeometryError(
                f"The {document.name} file nests its parts more than {MAX_LEVELS} levels deep. Join them into one mesh and "
                "export it again."
            )
        with np.errstate(over="ignore", invalid="ignore"):
            matrix = above @ _own_matrix(document, node)
        if not np.isfinite(matrix).all():
            raise document.damaged(f"node {index} is placed by numbers beyond all measure")
        if "mesh" in node:
            if "skin" in node:
                raise GeometryError(
                    f"A mesh of the {document.name} file is posed by bones, which are not read. Apply the pose and export it "
                    "again."
                )
            found.append((document.whole(node, "mesh"), matrix))
        children = node.get("children", [])
        if not isinstance(children, list):
            raise document.damaged("“children” is no list")
        open_nodes += [(child, level + 1, matrix) for child in reversed(children)]
    return found


def _roots(document: GltfDocument) -> list[object]:
    if document.table("scenes") or "scene" in document.content:
        roots = document.row("scenes", document.content.get("scene", 0)).get("nodes", [])
        if not isinstance(roots, list):
            raise document.damaged("“nodes” is no list")
        return list(reversed(roots))
    below: set[int] = set()
    for index in range(len(document.table("nodes"))):
        children = document.row("nodes", index).get("children", [])
        below |= {child for child in children if isinstance(child, int)} if isinstance(children, list) else set()
    return [index for index in reversed(range(len(document.table("nodes")))) if index not in below]


def _own_matrix(document: GltfDocument, node: object) -> Doubles:
    assert isinstance(node, dict)
    given = document.numbers(node, "matrix", 16)
    if given is not None:
        matrix: Doubles = np.array(given).reshape(4, 4).T
        if not np.array_equal(matrix[3], [0, 0, 0, 1]):
            raise document.damaged("a matrix is none of a placed part")
        return matrix
    result = np.eye(4)
    turn = document.numbers(node, "rotation", 4)
    if turn is not None:
        result[:3, :3] = _turned(document, turn)
    scale = document.numbers(node, "scale", 3)
    if scale is not None:
        result[:3, :3] *= scale
    moved = document.numbers(node, "translation", 3)
    if moved is not None:
        result[:3, 3] = moved
    return result


def _turned(document: GltfDocument, quaternion: list[float]) -> Doubles:
    size = float(np.linalg.norm(quaternion))
    if not 0.9 < size < 1.1:
        raise document.damaged("a rotation is none: its four numbers do not make 1")
    x, y, z, w = (value / size for value in quaternion)
    return np.array([
        [1 - 2 * (y * y + z * z), 2 * (x * y - z * w), 2 * (x * z + y * w)],
        [2 * (x * y + z * w), 1 - 2 * (x * x + z * z), 2 * (y * z - x * w)],
        [2 * (x * z - y * w), 2 * (y * z + x * w), 1 - 2 * (x * x + y * y)],
    ])  # fmt: skip
