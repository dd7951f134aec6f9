"""The task queue: what may travel on it, and how a lost worker or broker is survived."""

from pathlib import Path

import pytest
from django.conf import settings

from studio.celery import app
from studio.settings.queue import SWEEPS, VISIBILITY_TIMEOUT_S, queue_options

REDIS = "redis://127.0.0.1:6379/0"


class TestQueueOptions:
    @pytest.mark.parametrize("redis_url", ["", REDIS])
    def test_carry_json_only_and_acknowledge_late(self, tmp_path: Path, redis_url: str) -> None:
        options = queue_options(data_dir=tmp_path, redis_url=redis_url, sweep_every_s=20)
        assert options["accept_content"] == ["json"]
        assert {options[f"{what}_serializer"] for what in ("task", "result", "event")} == {"json"}
        assert options["task_acks_late"]
        assert options["task_reject_on_worker_lost"]
        assert options["worker_prefetch_multiplier"] == 1
        assert options["timezone"] == "UTC"

    def test_lie_in_the_data_folder_by_default(self, tmp_path: Path) -> None:
        options = queue_options(data_dir=tmp_path, redis_url="", sweep_every_s=20)
        assert options["broker_url"] == "filesystem://"
        assert Path(options["broker_transport_options"]["data_folder_in"]).is_dir()
        assert options["broker_transport_options"]["polling_interval"] == 0.25
        assert options["worker_enable_remote_control"] is False

    def test_leave_remote_control_on_with_redis_so_that_a_worker_wakes_after_it_was_away(self, tmp_path: Path) -> None:
        options = queue_options(data_dir=tmp_path, redis_url=REDIS, sweep_every_s=20)
        assert options["broker_url"] == REDIS
        assert "worker_enable_remote_control" not in options
        assert options["broker_transport_options"]["visibility_timeout"] == VISIBILITY_TIMEOUT_S
        assert options["broker_transport_options"]["socket_connect_timeout"] == 2

    def test_name_each_queue_with_an_exchange_of_its_own(self, tmp_path: Path) -> None:
        queues = queue_options(data_dir=tmp_path, redis_url="", sweep_every_s=20)["task_queues"]
        assert {(queue.name, queue.exchange.name, queue.routing_key) for queue in queues} == {
            ("work", "work", "work"),
            ("documents", "documents", "documents"),
        }


class TestTasks:
    def test_of_every_sweep_exist(self) -> None:
        app.loader.import_default_modules()
        assert set(SWEEPS) <= set(app.tasks)

    def test_end_before_redis_would_hand_them_out_again(self) -> None:
        app.loader.import_default_modules()
        own = {name: task for name, task in app.tasks.items() if not name.startswith("celery.")}
        assert len(own) >= 2
        for name, task in own.items():
            limit = task.time_limit or settings.TASK_QUEUE["task_time_limit"]
            assert limit < VISIBILITY_TIMEOUT_S, name

    def test_of_documents_go_to_their_own_queue(self) -> None:
        route = app.amqp.router.route({}, "studio.documents.render")
        assert route["queue"].name == "documents"
