from jobs.page_links import linked


class TestLinked:
    def test_links_each_page_that_a_sentence_names(self) -> None:
        said = linked("Choose a shell on the Shell page, or another making on the Mold page.", 7)
        assert said == (
            'Choose a shell on the <a href="/jobs/7/shell/">Shell page</a>, '
            'or another making on the <a href="/jobs/7/mold/">Mold page</a>.'
        )

    def test_leaves_the_page_at_hand_plain(self) -> None:
        assert linked("Choose one on the Mold page.", 7, here="/jobs/7/mold/") == "Choose one on the Mold page."

    def test_says_where_the_plan_is_decided_when_no_page_is_named(self) -> None:
        said = linked("Warm the room <and> the piece.", 7)
        assert said.startswith("Warm the room &lt;and&gt; the piece. Change the plan there: ")
        assert [f"/jobs/7/{page}/" in said for page in ("mold", "coats", "shell", "castings")] == [True] * 4

    def test_says_that_the_page_at_hand_may_be_the_one(self) -> None:
        said = linked("Warm the room.", 7, here="/jobs/7/coats/")
        assert said.startswith("Warm the room. Change the plan here or there: ")
        assert ["/jobs/7/coats/" in said, "/jobs/7/mold/" in said] == [False, True]
