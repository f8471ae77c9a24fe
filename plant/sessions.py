"""Sessions in the database, asked only for keys that can be there."""

from django.contrib.sessions.backends.db import SessionStore as DatabaseSessionStore


class SessionStore(DatabaseSessionStore):
    """A cookie can carry characters that PostgreSQL takes in no text; such a key is no session."""

    def _validate_session_key(self, key: str) -> bool:
        return bool(super()._validate_session_key(key)) and key.isascii() and key.isalnum()
