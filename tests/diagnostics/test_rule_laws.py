"""What holds of rules whatever they say: their order means nothing, a stronger one is no weaker."""

import dataclasses
import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnostics import knowledge_files
from diagnostics.inference.causes import Knowledge, Rule, Speaks
from diagnostics.inference.feature_words import WORDS
from diagnostics.inference.posterior import Likelihoods, cause_probabilities, rule_power
from diagnostics.inference.priors import Priors

INSTALLED = knowledge_files.current()
SLUGS = sorted(INSTALLED.causes)[::7]
PAIRS = [(str(feature), word) for feature, words in WORDS.items() for word in sorted(words)]

ratios = st.floats(0.01, 100)
evidence = st.dictionaries(
    st.sampled_from(SLUGS), st.floats(-30, 30), min_size=2, max_size=len(SLUGS)
)
some_words = st.lists(st.sampled_from(PAIRS), min_size=1, max_size=6, unique=True)


def by_feature(pairs):
    found: dict[str, set[str]] = {}
    for feature, word in pairs:
        found.setdefault(feature, set()).add(word)
    return {feature: frozenset(words) for feature, words in found.items()}


@st.composite
def rules(draw, most=6):
    made = []
    for number in range(draw(st.integers(1, most))):
        speaks = draw(
            st.dictionaries(st.sampled_from(SLUGS), ratios, min_size=1, max_size=len(SLUGS))
        )
        made.append(
            Rule(
                slug=f"rule-{number}",
                says="as drawn",
                when=by_feature(draw(some_words)),
                speaks=tuple(Speaks(*one) for one in speaks.items()),
                source="drawn",
                version=1,
            )
        )
    return tuple(made)


def knowledge_with(drawn, causes=SLUGS):
    kept = {slug: INSTALLED.causes[slug] for slug in causes}
    return Knowledge("drawn", kept, tuple(drawn), {})


def told_by(drawn, logs, features, causes=SLUGS):
    return cause_probabilities(Likelihoods(logs, features), knowledge_with(drawn, causes), Priors())


@settings(max_examples=60, deadline=None)
@given(drawn=rules(), logs=evidence, seen=some_words, data=st.data())
def test_the_order_of_rules_causes_and_words_means_nothing(drawn, logs, seen, data):
    shuffled = [
        dataclasses.replace(
            rule,
            when=dict(reversed(rule.when.items())),
            speaks=tuple(data.draw(st.permutations(rule.speaks))),
        )
        for rule in data.draw(st.permutations(drawn))
    ]
    other_order = dict(data.draw(st.permutations(list(logs.items()))))

    one = told_by(drawn, logs, by_feature(seen))
    other = told_by(shuffled, other_order, by_feature(reversed(seen)), SLUGS[::-1])

    assert other == pytest.approx(one, rel=1e-9, abs=1e-12)
    assert math.isclose(sum(one.values()), 1)


@settings(max_examples=60, deadline=None)
@given(drawn=rules(), logs=evidence, ratio=ratios, factor=st.floats(1, 20), data=st.data())
def test_a_stronger_rule_for_a_cause_helps_it_and_no_other(drawn, logs, ratio, factor, data):
    cause = data.draw(st.sampled_from(sorted(logs)))
    holds = data.draw(st.sampled_from(drawn))
    features = {name: frozenset({min(words)}) for name, words in holds.when.items()}

    def with_ratio(value):
        rest = tuple(one for one in holds.speaks if one.cause != cause)
        changed = dataclasses.replace(holds, speaks=(*rest, Speaks(cause, value)))
        rest_of_rules = [one for one in drawn if one is not holds]
        return told_by([*rest_of_rules, changed], logs, features)

    weaker, stronger = with_ratio(ratio), with_ratio(ratio * factor)

    assert stronger[cause] >= weaker[cause] * (1 - 1e-9)
    assert all(stronger[other] <= weaker[other] * (1 + 1e-9) for other in logs if other != cause)
    # By just so much as it says: odds against any other grow by the ratio's power.
    for other in (one for one in logs if one != cause and weaker[one] > 1e-200):
        grown = math.log(stronger[cause] / stronger[other])
        was = math.log(weaker[cause] / weaker[other])
        assert grown - was == pytest.approx(rule_power(holds) * math.log(factor), abs=1e-6)


@settings(max_examples=40, deadline=None)
@given(drawn=rules(), logs=evidence)
def test_a_rule_that_does_not_hold_or_says_one_changes_nothing(drawn, logs):
    nothing_seen = told_by(drawn, logs, {})
    saying_one = [
        dataclasses.replace(rule, speaks=tuple(Speaks(one.cause, 1.0) for one in rule.speaks))
        for rule in drawn
    ]
    all_seen = by_feature(PAIRS)

    without = told_by([], logs, all_seen)

    assert nothing_seen == pytest.approx(without)
    assert told_by(saying_one, logs, all_seen) == pytest.approx(without)
