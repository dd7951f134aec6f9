import json

import pytest

from studio.figures import Figure
from studio.web import baseline


def _figure(value: float) -> Figure:
    return Figure(key="price", label="Price", value=value, unit="money", formula="cost / (1 − margin)")


def _text(figure: Figure) -> str:
    return f"{figure.value:.2f}"


class TestBaseline:
    def test_strikes_through_only_what_reads_differently(self) -> None:
        field = baseline.write(baseline.texts_of([_figure(10.001)], _text))
        before = baseline.read(field)
        assert baseline.pair(_figure(10.004), before, _text).was == ""
        assert baseline.pair(_figure(11), before, _text).was == "10.00"

    def test_a_new_figure_has_no_old_text(self) -> None:
        assert baseline.pair(_figure(11), {}, _text).was == ""

    @pytest.mark.parametrize(
        "raw",
        [None, "", "{", "[1]", "7", '"x"', "[" * 100_000, '{"a": ' * 9000, '{"a": 1, "b": ["c"]}', json.dumps({"a": "x" * 81})],
    )
    def test_drops_what_it_did_not_write(self, raw: str | None) -> None:
        assert baseline.read(raw) == {}
