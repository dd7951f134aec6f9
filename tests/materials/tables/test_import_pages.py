"""Reading tables in through their pages: seen first, kept whole or not at all, undone while nothing was used."""

import datetime
from decimal import Decimal

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client

from materials import ledger
from materials.ledger import unbalanced
from materials.models import ImportRun, Lot, Material, Movement, Pack, ScrapBin
from materials.tables.limits import MOST_FILE_BYTES
from studio.access import Role
from studio.models import StudioProfile
from tests.factories import LotFactory, MaterialFactory, PackFactory, ScrapBinFactory
from tests.materials.pages import address, questions, text_of

pytestmark = pytest.mark.django_db
TEN_TO_ONE = {"parts_a_by_weight": 100.0, "parts_b_by_weight": 10.0}
LOTS = (
    "Material;Part;Mass;Received on;Good until;Supplier's lot;Pairs with;Place;Cost before tax per kg\n"
    "ten to one;;11 kg;2026-01-31;2026-12-31;S-7;;shelf 1;22,50\n"
    "Tint;;0,25 kg;1.2.2026;;T-1;;shelf 2;\n"
)


@pytest.fixture
def stocked() -> None:
    MaterialFactory(name="Ten to one", properties=TEN_TO_ONE)
    MaterialFactory(name="Tint", kind="tint", mix_basis="one_part")


def send(client: Client, kind: str, text: str | bytes, name: str = "stock.csv"):
    content = text if isinstance(text, bytes) else text.encode()
    return client.post(address("import_add"), {"kind": kind, "file": SimpleUploadedFile(name, content)})


def sent(client: Client, kind: str, text: str | bytes) -> ImportRun:
    answer = send(client, kind, text)
    assert answer.status_code == 302, text_of(answer.content)
    return ImportRun.objects.latest("pk")


class TestLots:
    def test_are_shown_kept_and_undone(self, owner_client: Client, stocked) -> None:
        run = sent(owner_client, "lots", LOTS)
        page = text_of(owner_client.get(address("import_show", run.pk)).content)
        assert "11.25 kg" in page or "11,250" in page
        assert not Lot.objects.exists()
        owner_client.post(address("import_keep", run.pk), {"leave": ""})
        # M6 of the trade's arithmetic: an 11 kg kit at 10:1 is 10 kg of A and 1 kg of B.
        assert list(Lot.objects.order_by("pk").values_list("component", "on_hand_g", "unit_cost_per_kg")) == [
            ("A", 10_000, Decimal("22.5")),
            ("B", 1_000, Decimal("22.5")),
            ("whole", 250, 0),
        ]
        assert Lot.objects.get(supplier_lot="T-1").received_on == datetime.date(2026, 2, 1)
        assert Movement.objects.filter(kind="receive").count() == 3
        assert owner_client.post(address("import_keep", run.pk), {"leave": ""}).status_code == 422
        assert Movement.objects.count() == 3
        owner_client.post(address("import_undo", run.pk))
        assert set(Lot.objects.values_list("on_hand_g", flat=True)) == {0}
        assert unbalanced() == []
        owner_client.post(address("import_take_up", run.pk))
        owner_client.post(address("import_keep", run.pk), {"leave": ""})
        owner_client.post(address("import_undo", run.pk))
        assert set(Lot.objects.values_list("on_hand_g", flat=True)) == {0}
        assert Movement.objects.count() == 12

    def test_are_kept_whole_or_not_at_all(self, owner_client: Client, stocked) -> None:
        run = sent(owner_client, "lots", LOTS + "Tint;part A;5 kg;2999-01-01;;;;;\nNobody's;;=1+1;2026-01-01;;;;;\n")
        page = text_of(owner_client.get(address("import_show", run.pk)).content)
        for says in (
            "Tint is of one part",
            "has not come yet",
            "no material called “Nobody’s”".replace("’", "&#x27;"),
            "This is a formula",
        ):
            assert says in page
        assert {(problem["row"], problem["column"]) for problem in run.problems} == {
            (4, "Part"), (4, "Received on"), (5, "Material"), (5, "Mass"),
        }  # fmt: skip
        answer = owner_client.post(address("import_keep", run.pk), {"leave": "4"})
        assert answer.status_code == 422
        assert "row 5 is wrong" in text_of(answer.content)
        assert 'value="4"' in text_of(answer.content)
        assert not Movement.objects.exists()
        owner_client.post(address("import_keep", run.pk), {"leave": "3", "without_wrong": "1"})
        assert list(Lot.objects.order_by("pk").values_list("supplier_lot", flat=True)) == ["S-7", "S-7"]

    def test_leave_nothing_behind_when_one_is_refused_at_the_last_moment(
        self, owner_client: Client, stocked, monkeypatch
    ) -> None:
        from materials.errors import BadMass
        from materials.tables import coming

        run, real = sent(owner_client, "lots", LOTS), coming.receive_delivery

        def refusing(*, delivery, key, by):
            if delivery.material.name == "Tint":
                raise BadMass("More than {most} is too much.", most=Decimal(5))
            return real(delivery=delivery, key=key, by=by)

        monkeypatch.setattr(coming, "receive_delivery", refusing)
        answer = owner_client.post(address("import_keep", run.pk), {"leave": ""})
        assert (answer.status_code, "Row 3: More than 5 g is too much." in text_of(answer.content)) == (422, True)
        assert not Lot.objects.exists()
        assert ImportRun.objects.get().kept_at is None

    def test_are_not_undone_once_something_was_used(self, owner_client: Client, stocked) -> None:
        run = sent(owner_client, "lots", LOTS)
        owner_client.post(address("import_keep", run.pk), {"leave": ""})
        ledger.issue(of=Lot.objects.get(supplier_lot="T-1"), mass_g=1, key="u1", by=None)
        answer = owner_client.post(address("import_undo", run.pk))
        assert (answer.status_code, "was used" in text_of(answer.content)) == (422, True)
        assert Movement.objects.count() == 4

    def test_of_the_very_same_file_are_asked_about(self, owner_client: Client, stocked) -> None:
        first = sent(owner_client, "lots", LOTS)
        owner_client.post(address("import_keep", first.pk), {"leave": ""})
        second = sent(owner_client, "lots", LOTS)
        assert "This very file was kept before" in text_of(owner_client.get(address("import_show", second.pk)).content)
        assert owner_client.post(address("import_keep", second.pk), {"leave": ""}).status_code == 422
        assert Lot.objects.count() == 3
        owner_client.post(address("import_keep", second.pk), {"leave": "", "again": "on"})
        assert Lot.objects.count() == 6


class TestMaterials:
    TABLE = (
        "Material,Kind,Chemistry,Mixed,Pack,Mass,Pieces,Price before tax,Usually bought\n"
        "Soft rubber,rubber,platinum silicone,Parts by weight,kit of 10 kg,10 kg,,238,yes\n"
        "Soft rubber,,,,kit of 2 kg,2 kg,,60,\n"
        "Cups,consumable,,,box of 50,,50,9.50,\n"
        "Old rubber,,,,kit of 5 kg,5 kg,,120.00,\n"
    )

    def test_bring_their_packs_and_new_prices(self, owner_client: Client) -> None:
        old = MaterialFactory(name="Old rubber")
        pack = PackFactory(material=old, label="Kit of 5 kg", mass_g=5000, price=110)
        run = sent(owner_client, "materials", self.TABLE)
        assert run.problems == []
        owner_client.post(address("import_keep", run.pk), {"leave": ""})
        assert list(Pack.objects.order_by("pk").values_list("material__name", "mass_g", "pieces", "price", "usual")) == [
            ("Old rubber", 5000, None, 120, True),
            ("Soft rubber", 10_000, None, 238, True),
            ("Soft rubber", 2000, None, 60, False),
            ("Cups", None, 50, Decimal("9.5"), True),
        ]
        owner_client.post(address("import_undo", run.pk))
        assert list(Material.objects.values_list("name", flat=True)) == ["Old rubber"]
        assert Pack.objects.get() == pack
        assert Pack.objects.get().price == 110

    def test_give_a_pack_back_its_price_and_supplier_where_it_stood_in_several_rows(self, owner_client: Client) -> None:
        old = MaterialFactory(name="Old rubber")
        pack = PackFactory(material=old, label="Kit of 5 kg", mass_g=5000, price=110, supplier="Harbour Road")
        table = "Material,Pack,Mass,Price,Supplier\nOld rubber,Kit of 5 kg,5 kg,120,East\nOld rubber,Kit of 5 kg,5 kg,130,West\n"
        run = sent(owner_client, "materials", table)
        owner_client.post(address("import_keep", run.pk), {"leave": ""})
        pack.refresh_from_db()
        assert (pack.price, pack.supplier) == (130, "West")
        owner_client.post(address("import_undo", run.pk))
        pack.refresh_from_db()
        assert (pack.price, pack.supplier) == (110, "Harbour Road")

    def test_are_wrong_in_sentences(self, owner_client: Client) -> None:
        MaterialFactory(name="Old rubber")
        run = sent(
            owner_client,
            "materials",
            "Material,Kind,Chemistry,Mixed,Pack,Mass,Price\n"
            "New,,,,,,\nNew too,rubber,,,,,\nNew three,hat,,,,,\n"
            "Old rubber,,tin silicone,,,,\nOld rubber,,,,kit,,\nOld rubber,,,,,5 kg,\n",
        )
        says = {(one["row"], one["column"]): one["says"] for one in run.problems}
        assert set(says) == {
            (2, "Kind"), (3, "Mixed"), (4, "Kind"), (5, "Chemistry"), (6, "Mass"), (6, "Price before tax"), (7, "Pack"),
        }  # fmt: skip
        assert "none of: Rubber, Thickener" in says[4, "Kind"]

    def test_are_for_those_who_may_change_them(self, signed_in) -> None:
        maker = signed_in(Role.MAKER)
        assert send(maker, "materials", self.TABLE).status_code == 422
        assert not ImportRun.objects.exists()


class TestScrap:
    TABLE = (
        "Label\tRubber\tMass\tChunks\tWashed\tHardness\nP1\tPlatinum silicone\t2,5 kg\t2.5 cm\tyes\t20\nP2\tnot known\t\t30\t\t\n"
    )

    def test_comes_with_its_bins(self, owner_client: Client) -> None:
        run = sent(owner_client, "scrap", self.TABLE)
        owner_client.post(address("import_keep", run.pk), {"leave": ""})
        assert list(
            ScrapBin.objects.order_by("label").values_list("label", "chemistry", "on_hand_g", "chunk_edge_mm", "washed")
        ) == [
            ("P1", "platinum_silicone", 2500, 25, True),
            ("P2", "other", 0, 30, False),
        ]
        owner_client.post(address("import_undo", run.pk))
        assert set(ScrapBin.objects.values_list("on_hand_g", flat=True)) == {0}
        again = sent(owner_client, "scrap", self.TABLE + "\n")
        owner_client.post(address("import_keep", again.pk), {"leave": ""})
        assert ScrapBin.objects.get(label="P1").on_hand_g == 2500

    def test_refuses_labels_that_are_taken(self, owner_client: Client) -> None:
        ScrapBinFactory(label="p1", holding=5)
        run = sent(owner_client, "scrap", self.TABLE + "P2\tTin silicone\t1 kg\t5\t\t\n")
        assert [(one["row"], one["column"]) for one in run.problems] == [(2, "Label"), (4, "Label")]


class TestPages:
    def test_say_what_is_wrong_with_headings(self, owner_client: Client) -> None:
        run = sent(owner_client, "scrap", "Label,Weight of it,Label\nP1,5,P2\n")
        page = text_of(owner_client.get(address("import_show", run.pk)).content)
        for says in ("“Weight of it” is not known here", "“Label” stands there twice", "“Rubber” is missing"):
            assert says in page
        assert owner_client.post(address("import_keep", run.pk), {"leave": "2"}).status_code == 422

    def test_refuse_what_is_no_table_and_what_is_too_large(self, owner_client: Client) -> None:
        answer = send(owner_client, "lots", b"%PDF-1.7\n\xe2\xe3", "../../etc/{x}.csv")
        assert (answer.status_code, "UTF-8" in text_of(answer.content)) == (422, True)
        assert owner_client.post(address("import_add"), {"kind": "lots"}).status_code == 422
        answer = send(owner_client, "lots", b"x" * (MOST_FILE_BYTES + 200_000))
        assert (answer.status_code, "larger than" in text_of(answer.content)) == (413, True)
        assert not ImportRun.objects.exists()

    def test_drop_and_take_up_again(self, owner_client: Client, stocked) -> None:
        run = sent(owner_client, "lots", LOTS)
        owner_client.post(address("import_drop", run.pk))
        assert owner_client.post(address("import_keep", run.pk), {"leave": ""}).status_code == 422
        assert owner_client.post(address("import_undo", run.pk)).status_code == 422
        owner_client.post(address("import_take_up", run.pk))
        for leave in ("x", "9-3", "1-99999999", "2-3", "\x00"):
            assert owner_client.post(address("import_keep", run.pk), {"leave": leave}).status_code == 422
        assert not Movement.objects.exists()

    def test_keep_money_from_those_who_may_not_see_it(self, signed_in, stocked, account) -> None:
        owner, maker = signed_in(Role.OWNER), signed_in(Role.MAKER)
        StudioProfile.objects.current()
        StudioProfile.objects.update(money_hidden_from_makers=True)
        run = sent(owner, "lots", LOTS)
        assert maker.get(address("import_show", run.pk)).status_code == 404
        own = sent(maker, "lots", LOTS)
        assert "cannot be read in by your role" in text_of(maker.get(address("import_show", own.pk)).content)
        assert "Cost" not in text_of(maker.get(address("files_template", "lots")).content)

    def test_take_in_what_they_give_to_fill_in(self, owner_client: Client) -> None:
        for kind in ("materials", "lots", "scrap"):
            run = sent(owner_client, kind, owner_client.get(address("files_template", kind)).content)
            assert run.problems == []
            owner_client.post(address("import_keep", run.pk), {"leave": ""})
        assert (Material.objects.count(), Lot.objects.count(), ScrapBin.objects.count()) == (1, 1, 1)

    def test_ask_no_more_often_for_a_long_table(self, owner_client: Client, stocked) -> None:
        short = sent(owner_client, "lots", LOTS)
        long = sent(owner_client, "lots", LOTS + "".join(f"Tint;;{n} kg;2026-01-01;;;;;\n" for n in range(1, 120)))
        LotFactory.create_batch(3)
        pages = [questions(owner_client, address("import_show", run.pk)) for run in (short, long)]
        assert pages[0] == pages[1]
        assert questions(owner_client, address("files_show")) < 20
