"""3MF: parts placed as the build says, in the unit that it states, out of an archive that is not trusted."""

import io
import struct
import zipfile

import numpy as np
import pytest

from jobs.geometry import package_3mf
from tests.jobs.geometry.builders import box_mesh
from tests.jobs.geometry.packed_builders import CORE, PRODUCTION, RELATIONS, mesh_xml, model_xml, package, three_mf
from tests.jobs.geometry.reading import read, refusal, volume

CORNERS, FACES = box_mesh()
BOX = f'<object id="1" type="model">{mesh_xml(CORNERS, FACES)}</object>'
EMPTY = "<mesh><vertices/><triangles/></mesh>"


class TestReading:
    # Exact: NIST SP 811 for the inch and the foot.
    @pytest.mark.parametrize(
        ("unit", "mm"),
        [("micron", 0.001), ("millimeter", 1), ("centimeter", 10), ("inch", 25.4), ("foot", 304.8), ("meter", 1000)],
    )
    def test_turns_the_stated_unit_into_millimetres(self, unit: str, mm: float) -> None:
        mesh = read(three_mf(CORNERS, FACES, unit=unit))
        assert np.allclose(mesh.vertices, CORNERS * mm)
        assert np.array_equal(mesh.faces, FACES)
        assert (mesh.unit, mesh.up_axis) == ("mm", "z")
        assert unit.replace("meter", "metre") in mesh.said

    def test_takes_millimetres_where_none_is_stated(self) -> None:
        assert np.allclose(read(package(model_xml(BOX, '<item objectid="1"/>'))).vertices, CORNERS)

    def test_places_what_the_build_lists(self) -> None:
        mesh = read(three_mf(CORNERS, FACES, unit="inch", item='transform="0 1 0 -1 0 0 0 0 2 5 6 7"'))
        # Points are rows: x goes to y, y to −x, z doubles, then moved; all in inches.
        assert mesh.vertices.min(axis=0) / 25.4 == pytest.approx([5 - 80, 6, 7])
        assert mesh.vertices.max(axis=0) / 25.4 == pytest.approx([5, 106, 127])
        assert volume(mesh) == pytest.approx(2 * 480_000 * 25.4**3)

    def test_turns_the_faces_of_a_mirrored_part(self) -> None:
        mesh = read(three_mf(CORNERS, FACES, item='transform="-1 0 0 0 1 0 0 0 1 0 0 0"'))
        assert volume(mesh) == pytest.approx(480_000)

    def test_puts_components_together(self) -> None:
        resources = (
            BOX + '<object id="2" type="model"><components><component objectid="1"/>'
            '<component objectid="1" transform="1 0 0 0 1 0 0 0 1 200 0 0"/></components></object>'
        )
        mesh = read(
            package(model_xml(resources, '<item objectid="2" transform="2 0 0 0 2 0 0 0 2 0 0 10"/><item objectid="1"/>'))
        )
        assert len(mesh.faces) == 36
        assert mesh.vertices.min(axis=0) == pytest.approx([0, 0, 0])
        assert mesh.vertices.max(axis=0) == pytest.approx([600, 160, 130])

    def test_leaves_out_what_is_not_built_and_supports(self) -> None:
        resources = BOX + f'<object id="2" type="support">{mesh_xml(CORNERS * 9, FACES)}</object>'
        resources += f'<object id="3">{mesh_xml(CORNERS * 5, FACES)}</object>'
        mesh = read(package(model_xml(resources, '<item objectid="1"/><item objectid="2"/>')))
        assert np.allclose(mesh.vertices, CORNERS)
        assert "1 of its parts are supports" in mesh.said

    def test_follows_parts_of_the_production_extension(self) -> None:
        item = '<item objectid="7" p:path="/3D/Objects/one.model" transform="1 0 0 0 1 0 0 0 1 0 0 3"/>'
        root = model_xml("", item, attributes=f'requiredextensions="p" xmlns:p="{PRODUCTION}"')
        part = model_xml(BOX.replace('id="1"', 'id="7"'), "")
        assert read(package(root, {"3D/Objects/one.model": part})).vertices.min(axis=0) == pytest.approx([0, 0, 3])
        assert "lacks its part" in refusal(package(root))
        assert "different units" in refusal(package(root, {"3D/Objects/one.model": part.replace("<model", '<model unit="inch"')}))

    def test_tells_its_own_elements_from_those_of_extensions(self) -> None:
        slices = '<s:vertices xmlns:s="http://x"><s:vertex x="9" y="9"/></s:vertices>'
        assert len(read(package(model_xml(slices + BOX, '<item objectid="1"/>'))).faces) == 12
        renamed = model_xml(BOX, '<item objectid="1"/>').replace("</", "</c:").replace("<", "<c:").replace("<c:/c:", "</c:")
        renamed = renamed.replace("<c:?xml", "<?xml").replace("xmlns=", "xmlns:c=")
        assert len(read(package(renamed)).faces) == 12

    def test_finds_the_model_by_its_relation(self) -> None:
        data = package("<nothing/>", {"3D/Other.model": model_xml(BOX, '<item objectid="1"/>')},
                       relations=RELATIONS.replace("/3D/3dmodel.model", "/3D/other.MODEL"))  # fmt: skip
        assert len(read(data).faces) == 12


def chain(length: int, *, twice: bool = False) -> bytes:
    """Objects put together from one another, once or twice each."""
    links = "".join(
        f'<object id="{i}"><components>{f"""<component objectid="{i - 1}"/>""" * (2 if twice else 1)}</components></object>'
        for i in range(2, length + 1)
    )
    return package(model_xml(BOX + links, f'<item objectid="{length}"/>'))


def model(old: str, new: str) -> bytes:
    text = model_xml(BOX, '<item objectid="1"/>', attributes='unit="millimeter"')
    assert old in text
    return package(text.replace(old, new, 1))


DTD = '<!DOCTYPE model [<!ENTITY a "aaaaaaaaaa"><!ENTITY b "&a;&a;&a;&a;&a;&a;&a;&a;">]>'
REFUSED = {
    # name: (bytes, words that the sentence must hold)
    "unknown unit": (model("millimeter", "furlong"), "furlong"),
    "entities": (model("<model", DTD + "<model"), "entities"),
    "an entity from a file": (model("<model", '<!DOCTYPE m [<!ENTITY x SYSTEM "file:///etc/passwd">]><model'), "entities"),
    "XML cut short": (model("</build></model>", ""), "well formed"),
    "no XML": (package("solid piece"), "well formed"),
    "XML of another kind": (model(CORE, "http://example.org/other"), "first element"),
    "another first element": (package("<html/>"), "first element"),
    "nothing built": (model('<item objectid="1"/>', ""), "no triangles"),
    "an object that is not there": (model('<item objectid="1"/>', '<item objectid="9"/>'), "object 9"),
    "an object twice": (model("</resources>", f"{BOX}</resources>"), "twice"),
    "a face too far": (model('v3="3"', 'v3="8"'), "refers to point 9"),
    "a face of words": (model('v3="3"', 'v3="three"'), "“three”"),
    "a negative corner": (model('v3="3"', 'v3="-3"'), "“-3”"),
    "a corner in Arabic digits": (model('v3="3"', 'v3="٣"'), "whole number"),
    "a point without z": (model(' z="0.0"/>', "/>"), "lacks a number"),
    "a point of words": (model('x="0.0"', 'x="zero"'), "lacks a number"),
    "a point with an underscore": (model('x="0.0"', 'x="1_0"'), "lacks a number"),
    "a point that is no number": (model('x="0.0"', 'x="nan"'), "1 of 8 points are not numbers"),
    "an infinite point": (model('x="0.0"', 'x="INF"'), "1 of 8 points are not numbers"),
    "a transform of eleven": (model('objectid="1"', 'objectid="1" transform="1 0 0 0 1 0 0 0 1 0 0"'), "twelve"),
    "an infinite transform": (model('objectid="1"', 'objectid="1" transform="inf 0 0 0 1 0 0 0 1 0 0 0"'), "twelve"),
    "an extension that it needs": (
        model("unit=", 'requiredextensions="b" xmlns:b="http://schemas.microsoft.com/3dmanufacturing/beamlattice/2017/02" unit='),
        "extension “b”",
    ),
    "an object of itself": (
        package(model_xml('<object id="1"><components><component objectid="1"/></components></object>', '<item objectid="1"/>')),
        "from itself",
    ),
    "a circle of three": (
        package(model_xml(
            "".join(f'<object id="{i}"><components><component objectid="{1 + i % 3}"/></components></object>' for i in (1, 2, 3)),
            '<item objectid="1"/>',
        )),
        "from itself",
    ),
    "a chain too deep": (chain(201), "200 levels"),
    "a chain of 50 000": (chain(50_000), "200 levels"),
    "doubled sixty times": (chain(60, twice=True), "up to 3,000,000"),
    "doubled without a face": (
        package(model_xml(
            f'<object id="1">{EMPTY}</object>' + "".join(
                f'<object id="{i}"><components>{2 * f"""<component objectid="{i - 1}"/>"""}</components></object>'
                for i in range(2, 40)
            ),
            '<item objectid="39"/>',
        )),
        "100,000 places",
    ),
    "no model": (package("<x/>", relations="<r/>").replace(b"3D/3dmodel.model", b"3D/3dmodel.moles"), "zip archive"),
}  # fmt: skip


class TestRefusals:
    @pytest.mark.parametrize("name", REFUSED)
    def test_says_what_is_wrong(self, name: str) -> None:
        data, words = REFUSED[name]
        assert words in refusal(data)

    def test_reads_a_chain_at_its_limit(self) -> None:
        assert len(read(chain(200)).faces) == 12

    @pytest.mark.parametrize("cut", [30, 200, 21])
    def test_refuses_an_archive_cut_short(self, cut: int) -> None:
        refusal(three_mf(CORNERS, FACES)[:-cut])

    def test_refuses_a_part_whose_check_sum_is_wrong(self) -> None:
        data = bytearray(three_mf(CORNERS, FACES))
        at = data.rfind(b"PK\x01\x02")
        data[at + 16] ^= 1
        local = data.rfind(b"PK\x03\x04")
        data[local + 14] ^= 1
        assert "damaged" in refusal(bytes(data))


class TestBombs:
    def test_stops_unpacking_long_before_the_end(self) -> None:
        # 400 MB of blanks in half a megabyte.
        out = io.BytesIO()
        with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
            archive.writestr("_rels/.rels", RELATIONS)
            with archive.open("3D/3dmodel.model", "w") as part:
                part.write(model_xml(BOX, '<item objectid="1"/>').encode())
                for _ in range(100):
                    part.write(b" " * 4_000_000)
        assert len(out.getvalue()) < 600_000
        words = refusal(out.getvalue())
        assert "unpacks to more than" in words

    def test_counts_what_comes_out_not_what_is_declared(self) -> None:
        data = bytearray(three_mf(CORNERS, FACES))
        for sign, offset in ((b"PK\x01\x02", 24), (b"PK\x03\x04", 22)):
            at = data.rfind(sign)
            struct.pack_into("<I", data, at + offset, 10)
        refusal(bytes(data))

    def test_looks_at_the_number_of_files_before_it_lists_them(self, monkeypatch: pytest.MonkeyPatch) -> None:
        out = io.BytesIO()
        with zipfile.ZipFile(out, "w") as archive:
            archive.writestr("3D/3dmodel.model", "")
            for number in range(1_000):
                archive.writestr(f"x{number}", "")
        monkeypatch.setattr(package_3mf.zipfile, "ZipFile", None)
        assert "more than 1,000 files" in refusal(out.getvalue())

    def test_refuses_a_name_twice(self) -> None:
        data = package(model_xml(BOX, '<item objectid="1"/>'), {"3D/3DMODEL.model": "<x/>"})
        assert "twice" in refusal(data)

    def test_refuses_a_locked_archive(self) -> None:
        data = bytearray(three_mf(CORNERS, FACES))
        for sign, offset in ((b"PK\x01\x02", 8), (b"PK\x03\x04", 6)):
            for at in (data.find(sign), data.rfind(sign)):
                data[at + offset] |= 1
        assert "password" in refusal(bytes(data))

    def test_holds_little_of_a_part_at_a_time(self) -> None:
        parts = list(package_3mf.Package(io.BytesIO(three_mf(CORNERS, FACES))).pieces("/3D/3dmodel.model"))
        assert all(len(piece) <= 1 << 16 for piece in parts)
        assert b"".join(parts).endswith(b"</model>")
