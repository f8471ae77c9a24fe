"""The one base of every refusal."""


class DomainError(Exception):
    """A use case refuses; the text is for the person at the conveyor and says what to do next.

    Subclasses stand beside the function that raises them and carry a stable `code`.
    """

    code = "refused"
