"""What a browser's console says when a test brings it about."""

KILLED = (
    "ERR_CONNECTION",
    "ERR_FAILED",
    "ERR_EMPTY",
    "ERR_SOCKET",
    "ERR_CONTENT_LENGTH_MISMATCH",
    "An unknown error occurred when fetching the script.",
)
"""Parts of the lines of a service that was killed: nobody listens, or an answer was cut off before, at or after its head; the last is of the page's own worker."""
