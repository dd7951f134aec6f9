from jobs.models import Job
from jobs.moves import MOVES, TONES, move_to, moves_from


class TestMoves:
    def test_lead_from_every_state_somewhere(self) -> None:
        assert set(MOVES) == set(Job.State.values)
        assert all(moves_from(state) for state in Job.State.values)

    def test_can_be_taken_back(self) -> None:
        for state, moves in MOVES.items():
            for move in moves:
                seen, edge = {move.to}, {move.to}
                while edge:
                    edge = {later.to for at in edge for later in MOVES[at]} - seen
                    seen |= edge
                assert state in seen, f"{state} to {move.to} cannot be undone"

    def test_end_in_known_states_with_a_tone(self) -> None:
        assert set(TONES) == set(Job.State.values)
        assert {move.to for moves in MOVES.values() for move in moves} <= set(Job.State.values)

    def test_skip_nothing_that_was_not_agreed(self) -> None:
        assert move_to("enquiry", "working") is None
        assert move_to("declined", "delivered") is None
        assert move_to("agreed", "working") is not None
