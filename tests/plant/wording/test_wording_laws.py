"""What holds of every wording whose words differ from each other."""

from hypothesis import given, settings
from hypothesis import strategies as st

from plant.wording.wording import Words
from tests.plant.wording.spoken import STATES, order, spoken

THEIR_WORDS = st.text(st.characters(codec="utf-8", exclude_categories=["Cc"]), min_size=1)
ONE_TO_ONE = st.lists(THEIR_WORDS, min_size=len(STATES), max_size=len(STATES), unique=True).map(
    lambda words: dict(zip(STATES, words, strict=True))
)
ANY = st.dictionaries(st.sampled_from(STATES), st.sampled_from("ABC"))
TAGS = st.lists(THEIR_WORDS, min_size=3, max_size=3, unique=True)


@settings(max_examples=60, deadline=None)
@given(states=ONE_TO_ONE, tags=TAGS, state=st.sampled_from(STATES))
def test_what_goes_out_comes_back(states: dict[str, str], tags: list[str], state: str) -> None:
    places = dict(zip([("Q30", ""), ("Q30", "R88"), ("Y12", "")], tags, strict=True))
    wording = spoken(states, tags=places, is_strict=True)
    ours = order(state=state)

    assert wording.to_ours("work_order", wording.to_theirs("work_order", ours)) == ours


@settings(max_examples=60, deadline=None)
@given(states=ANY, preferred=st.frozensets(st.sampled_from(STATES)))
def test_what_is_meant_is_always_a_word_that_goes_out_so(
    states: dict[str, str], preferred: frozenset[str]
) -> None:
    words = Words(states, preferred)

    for theirs in words.ours:
        meant = words.meant_by(theirs)
        assert meant is None or states[meant] == theirs
        assert set(words.ours[theirs]) == {one for one, word in states.items() if word == theirs}
