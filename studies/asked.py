"""Asks tests that were collected once about one mutant after another, each in a process forked from there.

A mutant's code is laid into the functions that everybody has already imported. What was worked out before that (a constant
of a module, what a test works out while it is collected) is as it was, so that a wrong may be hidden by it.
"""
from __future__ import annotations

import contextlib
import gc
import importlib
import io
import json
import os
import signal
import sys
import time
import types
from collections import Counter, defaultdict
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import _lru_cache_wrapper, cached_property
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, Phase, settings

from spareway.fact import Formula
from spareway.rules.base import Rule
from studies.mutants import Mutant

ROOT = Path(__file__).parents[1]
LIMIT_S = 30.0                      # of the child's own time and not of the clock: a busy machine is nothing wrong
LONG_S = 10.0                       # a test that takes longer is left out: every mutant that nothing notices waits for all
NO_END, NO_IMPORT = "no end", "no import"

Told = Callable[[Mutant, str], None]


def ask(wanted: Sequence[Mutant], tests: Sequence[str], told: Told, enough_s: float) -> None:
    """Tells of each mutant which test notices it first: also `no end`, `no import`, or nothing where none does.

    enough_s: no more tests are put to a mutant than take so long together.

    Errors: SystemExit where there is no test to ask. A test that fails with nothing wrong is named and left out."""
    settings.register_profile("asked", deadline=None, derandomize=True, suppress_health_check=list(HealthCheck),
                              phases=(Phase.explicit, Phase.generate))         # the same cases, however busy the machine is
    settings.load_profile("asked")
    asking = _Asking(wanted, told, enough_s)
    brief = ("-q", "--tb=no", "--assert=plain", "-p", "no:cacheprovider", "-W", "ignore::pytest.PytestAssertRewriteWarning")
    with contextlib.redirect_stdout(io.StringIO()):
        pytest.main([*brief, *tests], plugins=[asking])
    if asking.stopped:
        raise SystemExit(asking.stopped)


@dataclass
class _Asking:
    """Stands in for pytest's own loop over the tests."""
    wanted: Sequence[Mutant]
    told: Told
    enough_s: float
    stopped: str = "the tests were not collected"

    def pytest_runtestloop(self, session: pytest.Session) -> bool:
        """What it does not run a test cannot notice: each mutant is put to those that ran its function with nothing wrong."""
        files = {str(ROOT / "src" / m.file): m.file for m in self.wanted}
        caches = [f for f in gc.get_objects() if isinstance(f, _lru_cache_wrapper) and str(f.__module__).startswith("tests.")]
        gc.freeze()
        by, asked = _in_child(lambda: _as_it_is(session, files))
        self.stopped = "" if asked else "there is no test to ask"
        if by:
            print(f"not asked, for they fail with nothing wrong: {by}", file=sys.stderr, flush=True)
        if not self.stopped:
            self._each(session, {key: (took_s, {tuple(of) for of in ran}) for key, (took_s, ran) in asked.items()}, caches)
        return True

    def _each(self, session: pytest.Session, asked: Asked, caches: Sequence[Any]) -> None:
        """First what has noticed most in this function, then in this file; else what runs least besides, quickest first."""
        found: dict[str, Counter[str]] = defaultdict(Counter)
        quick = [i for i in session.items if i.nodeid in asked and asked[i.nodeid][0] <= LONG_S]
        for mutant in self.wanted:
            of_function, of_file = found[f"{mutant.file} {mutant.of}"], found[mutant.file]
            near = [i for i in quick if _runs(asked[i.nodeid][1], mutant)]
            near.sort(key=lambda i: (-of_function[i.nodeid], -of_file[i.nodeid], len(asked[i.nodeid][1]), asked[i.nodeid][0]))
            spent, few = 0.0, []
            for item in near:
                spent += asked[item.nodeid][0]
                if spent <= self.enough_s:
                    few.append(item)
            by, _ = _in_child(lambda m=mutant, few=few: _wrong(session, few, m, caches, self.enough_s))
            of_function[by] += 1
            of_file[by] += 1
            self.told(mutant, by)


def _runs(ran: set[tuple[str, str]], mutant: Mutant) -> bool:
    return (mutant.file, mutant.of) in ran if mutant.of else any(file == mutant.file for file, _ in ran)


Asked = Mapping[str, tuple[float, set[tuple[str, str]]]]        # of each test how long it takes, and the (file, function) it runs


def _in_child(done: Callable[[], tuple[str, Any]]) -> tuple[str, Any]:
    """What a function gives that is called in a process forked from this one."""
    read, write = os.pipe()
    child = os.fork()
    if child == 0:
        try:
            with os.fdopen(write, "w") as said:
                json.dump(done(), said)
        finally:
            os._exit(0)                             # whatever happened, the loop of the parent does not go on in here
    os.close(write)
    with os.fdopen(read) as heard:
        said = heard.read()
    _, status = os.waitpid(child, 0)
    if os.WIFSIGNALED(status) and os.WTERMSIG(status) == signal.SIGVTALRM:
        return NO_END, {}
    if not said:
        raise SystemExit(f"a child ended with {status} and said nothing")
    by, more = json.loads(said)
    return by, more


def _as_it_is(session: pytest.Session, files: Mapping[str, str]) -> tuple[str, Any]:
    """In the child: every test with nothing wrong, how long it took and what it ran."""
    session.config.pluginmanager.unregister(name="terminalreporter")
    asked, failed = {}, []
    for item, after in zip(session.items, [*session.items[1:], None], strict=True):
        ran: set[tuple[str, str]] = set()

        def seen(frame: types.FrameType, event: str, _: object, ran: set[tuple[str, str]] = ran) -> None:
            if event == "call" and (file := files.get(frame.f_code.co_filename)):
                ran.add((file, frame.f_code.co_qualname.partition(".<locals>")[0].rpartition(".")[2]))
        began = time.process_time()
        sys.setprofile(seen)
        session.config.hook.pytest_runtest_protocol(item=item, nextitem=after)
        sys.setprofile(None)
        asked[item.nodeid] = (time.process_time() - began, sorted(ran))
        if session.testsfailed:
            failed.append(item.nodeid)
            del asked[item.nodeid]
            session.testsfailed = 0
    return ", ".join(failed), asked


def _wrong(session: pytest.Session, items: Sequence[pytest.Item], mutant: Mutant, caches: Sequence[Any],
           enough_s: float) -> tuple[str, Any]:
    """In the child: the first that fails. What tests keep from one another may have been worked out before, and is forgotten."""
    signal.setitimer(signal.ITIMER_VIRTUAL, LIMIT_S + enough_s)
    session.config.pluginmanager.unregister(name="terminalreporter")
    if not lay(mutant):
        return NO_IMPORT, {}
    for each in caches:
        each.cache_clear()
    for item, after in zip(items, [*items[1:], None], strict=False):
        session.config.hook.pytest_runtest_protocol(item=item, nextitem=after)
        if session.testsfailed:
            return item.nodeid, {}
    return "", {}


def lay(mutant: Mutant) -> bool:
    """Lays the mutant's code into its module, everywhere that it has been imported to. False where it does not even import."""
    name = mutant.file.removesuffix(".py").replace("/", ".").removesuffix(".__init__")
    old, new = importlib.import_module(name), types.ModuleType(name)
    new.__file__ = old.__file__
    sys.modules[name] = new                                 # dataclasses look their module up
    try:
        exec(compile(mutant.source, f"{name} with one thing wrong", "exec"), new.__dict__)
    except (TypeError, ValueError, KeyError, AttributeError, ZeroDivisionError, IndexError, NameError):
        return False
    finally:
        sys.modules[name] = old
    for key, was in vars(old).items():
        _laid(was, new.__dict__.get(key), name)
    return True


def _laid(was: Any, now: Any, module: str) -> None:
    """The code of one function, formula, rule or class, into the object that stands."""
    if isinstance(was, Formula) and was.plain.__module__ == module:
        vars(was).update({key: each for key, each in vars(now).items() if key != "plain"})
        was.plain.__code__ = now.plain.__code__
    elif isinstance(was, Rule) and was.ask.__module__ == module:
        was.ask.__code__ = now.ask.__code__
    elif isinstance(was, types.FunctionType) and was.__module__ == module:
        was.__code__ = now.__code__
    elif isinstance(was, _lru_cache_wrapper) and was.__module__ == module:
        was.__wrapped__.__code__ = now.__wrapped__.__code__
    elif isinstance(was, type) and was.__module__ == module:
        for key, each in vars(was).items():
            for function in _functions(each):
                for other in _functions(vars(now)[key]):
                    function.__code__ = other.__code__


def _functions(each: Any) -> Iterator[types.FunctionType]:
    inner = each.fget if isinstance(each, property) else each.func if isinstance(each, cached_property) else \
        each.__func__ if isinstance(each, classmethod | staticmethod) else each
    if isinstance(inner, types.FunctionType):
        yield inner
