"""Nothing is lost when processes are killed: the embedded set-up, with real processes."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from studio.documents.claims import MOST_ATTEMPTS
from tests.services.house import House, wait_for


@pytest.fixture(scope="module")
def migrated(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Make a database once; each house gets a copy."""
    first = House(tmp_path_factory.mktemp("first") / "house")
    first.close()
    return first.folder / "data" / "studio.sqlite3"


@pytest.fixture
def house(tmp_path: Path, migrated: Path) -> Iterator[House]:
    made = House(tmp_path / "house", migrated=migrated)
    yield made
    made.close()


class TestEmbeddedWorkerKilled:
    def test_mid_render_finishes_the_print_once_after_restart(self, house: House) -> None:
        house.hold()
        worker = house.start_worker()
        house.tell("ask 1")
        wait_for("the renderer began", lambda: len(house.begun()) == 1)
        assert house.states() == ["rendering"]
        house.kill(worker)
        house.let_go()
        house.start_worker()
        wait_for("the print is ready", lambda: house.states() == ["ready"])
        seen = house.tell("look")
        assert seen["database"] == "sqlite"
        assert len(house.begun()) == 2
        assert seen["rows"][0]["attempts"] == 2
        assert seen["files"] == [seen["rows"][0]["stored_name"]]

    def test_again_and_again_ends_with_a_reason_instead_of_forever(self, house: House) -> None:
        house.hold()
        house.tell("ask 1")
        house.tell(f"tire {MOST_ATTEMPTS - 1}")
        worker = house.start_worker()
        wait_for("the last attempt began", lambda: len(house.begun()) == 1)
        house.kill(worker)
        house.let_go()
        house.start_worker()
        wait_for("the print failed", lambda: house.states() == ["failed"])
        assert "stopped 5 times" in house.tell("look")["rows"][0]["reason"]
        assert house.tell("look")["files"] == []

    def test_before_it_ran_takes_what_was_asked_meanwhile(self, house: House) -> None:
        house.tell("ask 4")
        assert house.states() == ["queued"] * 4
        house.start_worker()
        wait_for("all are ready", lambda: house.states() == ["ready"] * 4)
        assert len(house.begun()) == 4
        assert len(house.tell("look")["files"]) == 4

    def test_with_an_emptied_queue_folder_sweeps_the_rows(self, house: House) -> None:
        house.tell("ask 3")
        queue = house.folder / "data" / "broker" / "queue"
        messages = list(queue.iterdir())
        assert len(messages) == 3
        for message in messages:
            message.unlink()
        house.start_worker()
        wait_for("all are ready", lambda: house.states() == ["ready"] * 3)
