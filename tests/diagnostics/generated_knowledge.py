"""Made-up knowledge for property tests: every field of every entry, with texts that mislead."""

from typing import Any

from hypothesis import strategies as st

from diagnostics.inference.feature_words import WORDS, ConveyorWord
from diagnostics.inference.vocabulary import CauseClass, Pattern
from diagnostics.knowledge_comparison import Documents
from diagnostics.knowledge_schema import SHIFTS, SKILLS
from plant.loop.vocabulary import ComponentKind

# What readers of YAML 1.1 or 1.2 take for something else than text, or stumble over.
_BARE = r"""
yes No on OFF true False null NULL ~~~ 0777 0o14 0x3A 12e03 1e3 1_000 +.inf .nan 1:30 190:20:30
2026-11-28 2026-11-28T10:00:00Z <<= === &anchor *alias !!int %YAML --- ... ??? -- @at `tick` #no
{a} [b] 'quoted' "double" a:b :c key: \n |- >- ,comma 100% ½½ 𝄞𝄞
"""
MISLEADING = [
    *_BARE.split(),
    "- a list",
    "key: value",
    "a # comment",
    " leading",
    "trailing ",
    "two\nlines",
    "\ttab",
    "line\r\nend\r",
    "a\x85b\u2028c\u2029d",
    "\ufeffmark",
    "\x7f\x9f\ufffe",
    "a" * 300,
    "word " * 60,
    "\n\nabc\n\n",
]
_LETTERS = st.characters(
    exclude_categories=("Cs",),
    exclude_characters=[chr(one) for one in range(32) if chr(one) not in "\t\n\r"],
)


def texts(least: int, most: int) -> st.SearchStrategy[str]:
    found = st.sampled_from(MISLEADING) | st.text(_LETTERS, min_size=least, max_size=40)
    return found.filter(lambda one: least <= len(one) <= most and bool(one.strip()))


def _numbers(most: int) -> st.SearchStrategy[float]:
    return st.integers(1, most) | st.floats(1e-9, most)


def _some(*words: Any) -> st.SearchStrategy[list[str]]:
    return st.lists(st.sampled_from([str(one) for one in words]), unique=True, max_size=3)


def _slugs(shape: str, count: int) -> st.SearchStrategy[list[str]]:
    return st.lists(st.from_regex(shape, fullmatch=True), min_size=1, max_size=count, unique=True)


_TEXT, _WORD = texts(3, 1200), texts(2, 120)
_WORDS = st.lists(_WORD, max_size=2, unique=True)


@st.composite
def knowledge(draw: Any) -> Documents:
    """Four documents that go together."""
    cautions = draw(_slugs("[a-z][a-z0-9-]{2,20}", 3))
    methods = draw(_slugs("[a-z][a-z0-9-]{2,20}", 2))
    causes = [*draw(_slugs("[a-z][a-z0-9_]{2,20}", 2)), "zz_one_more"]
    entries = {
        "cautions": [draw(_caution(slug)) for slug in cautions],
        "work_methods": [draw(_method(slug, cautions)) for slug in methods],
        "causes": [draw(_cause(slug, causes, cautions, methods)) for slug in dict.fromkeys(causes)],
        "rules": [draw(_rule(slug, causes)) for slug in draw(_slugs("[a-z][a-z0-9-]{2,20}", 3))],
    }
    return {
        f"{key}.yaml": {"version": 1, "date": "2026-11-28", key: rows}
        for key, rows in entries.items()
    }


def _caution(slug: str) -> st.SearchStrategy[dict[str, Any]]:
    return st.fixed_dictionaries({"slug": st.just(slug), "says": _TEXT, "source": _WORD})


@st.composite
def _method(draw: Any, slug: str, cautions: list[str]) -> dict[str, Any]:
    step = st.fixed_dictionaries(
        {"what": _TEXT, "hours": st.sampled_from([0.25, 0.5, 1, 1.5])},
        optional={"skill": st.sampled_from(SKILLS)},
    )
    steps = draw(st.lists(step, min_size=1, max_size=3))
    return {
        "slug": slug,
        "name": draw(_WORD),
        "people": draw(st.integers(1, 20)),
        "needs_isolation": draw(st.booleans()),
        "steps": steps,
        "tools": draw(_WORDS),
        "parts": draw(_WORDS),
        "hours": sum(one["hours"] for one in steps),
        "cautions": draw(st.lists(st.sampled_from(cautions), min_size=1, unique=True)),
        "proof": draw(_TEXT),
        "source": draw(_TEXT),
    }


@st.composite
def _cause(
    draw: Any, slug: str, causes: list[str], cautions: list[str], methods: list[str]
) -> dict[str, Any]:
    other = next(one for one in causes if one != slug)
    confirm = {
        # No two causes are called or confirmed the same.
        "what": f"{draw(texts(3, 1000))}, {slug}",
        "minutes": draw(_numbers(480)),
        "needs_stop": draw(st.booleans()),
    }
    if tools := draw(_WORDS):
        confirm["tools"] = tools
    return {
        "slug": slug,
        "name": f"{draw(texts(2, 90))}, {slug}",
        "class": str(draw(st.sampled_from(CauseClass))),
        "pattern": str(draw(st.sampled_from(Pattern))),
        "stands_at": draw(_some(*ComponentKind)),
        "needs": draw(_some(*ConveyorWord)),
        "weight": draw(_numbers(100)),
        "shows": draw(_TEXT),
        "look_alikes": [{"cause": other, "tell_apart": draw(_TEXT)}],
        "confirm": confirm,
        "correct": draw(_TEXT),
        "shift": draw(st.sampled_from([*SHIFTS, None])),
        "size_unit": draw(st.none() | texts(0, 20)),
        "tolerance": draw(_TEXT),
        "cautions": draw(st.lists(st.sampled_from(cautions), min_size=1, unique=True)),
        "work_method": draw(st.sampled_from(methods)),
        "source": draw(_TEXT),
    }


@st.composite
def _rule(draw: Any, slug: str, causes: list[str]) -> dict[str, Any]:
    feature = draw(st.sampled_from(sorted(WORDS)))
    words = st.lists(st.sampled_from(sorted(WORDS[feature])), min_size=1, max_size=3, unique=True)
    return {
        "slug": slug,
        "says": draw(_TEXT),
        "when": {str(feature): [str(one) for one in draw(words)]},
        "speaks": [
            {"cause": draw(st.sampled_from(causes)), "ratio": draw(_numbers(100))},
            {"class": str(draw(st.sampled_from(CauseClass))), "ratio": draw(_numbers(100))},
        ],
        "source": draw(_TEXT),
        "version": draw(st.integers(1, 1_000_000)),
    }
