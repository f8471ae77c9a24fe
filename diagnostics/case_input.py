"""Case files as the commands take them: read from disk or standard input, refused in one line."""

import sys
from pathlib import Path

from diagnostics.inference.case_file.document import CaseFileError

# Far above any set of cases; a mistaken file must not fill the memory.
LARGEST_FILE_BYTES = 200_000_000
# Exit status of refused input.
REFUSED = 2


def content_of(file: str) -> bytes:
    """The file's bytes, those of standard input for -; OSError or CaseFileError if unreadable."""
    if file == "-":
        content = sys.stdin.buffer.read(LARGEST_FILE_BYTES + 1)
    else:
        with Path(file).open("rb") as opened:
            content = opened.read(LARGEST_FILE_BYTES + 1)
    if len(content) > LARGEST_FILE_BYTES:
        raise CaseFileError(f"the file is larger than {LARGEST_FILE_BYTES // 1_000_000} MB.")
    return content


def refusal_of(file: str, error: Exception) -> str:
    """One line that names the file and says what is wrong with it."""
    text = error.strerror if isinstance(error, OSError) and error.strerror else str(error)
    return one_line(f"{file}: {text}")


def one_line(text: str) -> str:
    return " ".join(text.split())
