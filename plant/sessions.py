"""Sessions in the database, asked only for keys that can be there."""

from django.contrib.sessions.backends.db import SessionStore as DatabaseSessionStore

# Django's own rule: shorter ones are guesses.
_SHORTEST_KEY = 8


class SessionStore(DatabaseSessionStore):
    """A cookie can carry characters that PostgreSQL takes in no text; such a key is no session."""

    def _validate_session_key(self, key: str | None) -> bool:
        text = key or ""
        return len(text) >= _SHORTEST_KEY and text.isascii() and text.isalnum()
