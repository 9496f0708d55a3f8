"""A fault of the program while it judges. It is no answer about the installation, so it is never made into one."""
from __future__ import annotations

CRASHES = (ArithmeticError, AssertionError, AttributeError, LookupError, RecursionError, TypeError, ValueError)


class RuleCrash(RuntimeError):
    """A rule could not be worked on a subject although nothing was missing: the run ends, and no finding of it is given.

    The cause is kept as `__cause__`.
    """

    def __init__(self, rule: str, subject: str, cause: BaseException) -> None:
        self.rule, self.subject = rule, subject
        super().__init__(f"rule {rule} broke on {subject} ({type(cause).__name__}: {cause}): this is a fault of the program, not "
                         "of the job; nothing was judged. Please keep the job as it is and say so to its makers")
