"""What the bootstrap says on the terminal, and the error that ends it with a sentence."""

import sys


class NotPossibleError(Exception):
    """Something is missing or in the way; the message says what to do about it."""


def say(line: str) -> None:
    """Print a line for the person at once, whatever buffers stand between."""
    print(line, flush=True)


class Progress:
    """One line that is rewritten on a terminal, and said once elsewhere."""

    def __init__(self, first: str) -> None:
        self.live = sys.stdout.isatty()
        self.width = 0
        if self.live:
            self.show(first)
        else:
            say(first)

    def show(self, line: str) -> None:
        """Replace the line."""
        if self.live:
            sys.stdout.write("\r" + line.ljust(self.width))
            sys.stdout.flush()
            self.width = len(line)

    def end(self, line: str) -> None:
        """Close the line with its outcome."""
        self.show(line)
        if self.live:
            sys.stdout.write("\n")
        else:
            say(line)
