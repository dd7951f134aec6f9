"""Nothing is lost on PostgreSQL and Redis either, with workers of processes, when workers or the broker are killed."""

import pytest

from tests.services.conftest import OwnRedis
from tests.services.house import House, wait_for

pytestmark = pytest.mark.services


class TestWorkerKilled:
    def test_mid_render_finishes_the_print_once_after_restart(self, house: House) -> None:
        house.hold()
        worker = house.start_worker()
        house.tell("ask 1")
        wait_for("the renderer began", lambda: len(house.begun()) == 1)
        house.kill(worker)
        house.let_go()
        house.start_worker()
        wait_for("the print is ready", lambda: house.states() == ["ready"])
        seen = house.tell("look")
        assert seen["database"] == "postgresql"
        assert len(house.begun()) == 2
        assert seen["rows"][0]["attempts"] == 2
        assert seen["files"] == [seen["rows"][0]["stored_name"]]

    def test_leaves_the_other_worker_to_finish_everything_once(self, house: House) -> None:
        first, _second = house.start_worker(), house.start_worker()
        house.hold()
        house.tell("ask 8")
        wait_for("both workers are busy", lambda: len(house.begun()) >= 4)
        house.kill(first)
        house.let_go()
        wait_for("all are ready", lambda: house.states() == ["ready"] * 8)
        seen = house.tell("look")
        assert len(seen["files"]) == 8
        assert sum(row["attempts"] for row in seen["rows"]) == len(house.begun())


class TestRedisKilled:
    def test_takes_requests_while_away_and_the_worker_wakes_when_it_is_back(self, house: House, own_redis: OwnRedis) -> None:
        house.start_worker()
        house.tell("ask 1")
        wait_for("the first is ready", lambda: house.states() == ["ready"])
        own_redis.kill()
        house.tell("ask 3")
        assert house.states() == ["ready", "queued", "queued", "queued"]
        own_redis.start()
        wait_for("all are ready", lambda: house.states_kept() == ["ready"] * 4)
        assert len(house.tell("look")["files"]) == 4

    def test_mid_render_keeps_the_print_and_goes_on_afterwards(self, house: House, own_redis: OwnRedis) -> None:
        # A worker that holds an unacknowledged task when Redis goes away ends by itself; whoever keeps it starts it again.
        house.start_worker()
        house.hold()
        house.tell("ask 1")
        wait_for("the renderer began", lambda: len(house.begun()) == 1)
        own_redis.kill()
        house.let_go()
        wait_for("the print is ready", lambda: house.states() == ["ready"])
        own_redis.start()
        house.tell("ask 2")
        wait_for("all are ready", lambda: house.states_kept() == ["ready"] * 3)
        assert len(house.begun()) == 3

    def test_with_its_data_gone_loses_no_request(self, house: House, own_redis: OwnRedis) -> None:
        house.tell("ask 3")
        own_redis.kill()
        for path in own_redis.folder.rglob("*"):
            if path.is_file():
                path.unlink()
        own_redis.start()
        house.start_worker()
        wait_for("all are ready", lambda: house.states() == ["ready"] * 3)
        assert len(house.begun()) == 3
