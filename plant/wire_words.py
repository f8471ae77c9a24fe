"""Words as they go over the wire: snake case, whatever people read."""


def wire_word(words: str) -> str:
    """`return run before the take-up` becomes `return_run_before_the_take_up`."""
    return words.replace(" ", "_").replace("-", "_")
