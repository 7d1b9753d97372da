"""Run a program in a pseudo-terminal and watch what it paints and when."""

from __future__ import annotations

import fcntl
import os
import pty
import select
import signal
import struct
import subprocess
import sys
import termios
import time
from collections.abc import Sequence


class Terminal:
    """A program in a terminal of its own; everything it writes is kept in `output`."""

    def __init__(
        self,
        argv: Sequence[str],
        *,
        env: dict[str, str] | None = None,
        columns: int = 80,
        rows: int = 24,
        baud: int = 0,
    ) -> None:
        self.master, slave = pty.openpty()
        if baud:
            _set_speed(slave, baud)
        fcntl.ioctl(slave, termios.TIOCSWINSZ, struct.pack("HHHH", rows, columns, 0, 0))
        self.before = termios.tcgetattr(slave)
        """Settings of the terminal before the program touched them."""
        full = {**os.environ, "TERM": "xterm-256color", "LANG": "C.UTF-8", **(env or {})}
        if not (env and "NO_COLOR" in env):
            full.pop("NO_COLOR", None)
        # Both rivals of a bench may keep their compiled modules, as they do when installed.
        full.pop("PYTHONDONTWRITEBYTECODE", None)
        self.started = time.perf_counter()
        self.process = subprocess.Popen(
            argv, stdin=slave, stdout=slave, stderr=slave, env=full, start_new_session=True
        )
        self.slave = slave
        self.output = b""

    def read(self, timeout_s: float) -> bytes:
        """What comes within `timeout_s`, as soon as anything comes; empty when nothing does."""
        if not select.select([self.master], [], [], timeout_s)[0]:
            return b""
        try:
            data = os.read(self.master, 65536)
        except OSError:
            return b""
        self.output += data
        return data

    def wait_for(self, words: bytes, timeout_s: float = 30.0) -> float:
        """Seconds since the start until `words` have been painted (since the last `forget`)."""
        end = time.perf_counter() + timeout_s
        while words not in self.output:
            if time.perf_counter() > end or (
                not self.read(0.2) and self.process.poll() is not None
            ):
                raise TimeoutError(f"{words!r} was never painted; last: {self.output[-600:]!r}")
        return time.perf_counter() - self.started

    def cpu_s(self) -> float:
        """Processor seconds the program has used so far."""
        with open(f"/proc/{self.process.pid}/stat") as file:
            fields = file.read().rsplit(")", 1)[1].split()
        return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")

    def forget(self) -> bytes:
        """Empty `output` and give it back."""
        output, self.output = self.output, b""
        return output

    def drain(self, quiet_s: float = 0.3, longest_s: float = 15.0) -> bytes:
        """Read until nothing has come for `quiet_s`; give back what came."""
        before = len(self.output)
        end = time.perf_counter() + longest_s
        while self.read(quiet_s) and time.perf_counter() < end:
            pass
        return self.output[before:]

    def send(self, keys: bytes) -> None:
        """Type."""
        os.write(self.master, keys)

    def key(self, keys: bytes, timeout_s: float = 5.0) -> tuple[float, bytes]:
        """Type; seconds until the first paint, and all bytes of the paint."""
        self.forget()
        start = time.perf_counter()
        self.send(keys)
        first = self.read(timeout_s)
        took = time.perf_counter() - start
        return took, first + self.drain(0.06)

    def settings_now(self) -> list[object]:
        """Settings of the terminal as they are now."""
        return termios.tcgetattr(self.slave)

    def signal(self, number: int) -> None:
        """Send a signal to the program alone."""
        os.kill(self.process.pid, number)

    def hang_up(self, timeout_s: float = 10.0) -> int:
        """Lose the line as a broken ssh does; the exit status, -9 if the program stayed."""
        os.close(self.master)
        os.close(self.slave)
        try:
            return self.process.wait(timeout_s)
        except subprocess.TimeoutExpired:
            self.process.kill()
            return self.process.wait()

    def end(self, timeout_s: float = 5.0) -> int:
        """Wait for the program, the hard way at last; its exit status."""
        until = time.perf_counter() + timeout_s
        while self.process.poll() is None and time.perf_counter() < until:
            self.read(0.05)
        if self.process.poll() is None:
            self.process.send_signal(signal.SIGKILL)
        status = self.process.wait()
        while self.read(0.05):
            pass
        os.close(self.master)
        os.close(self.slave)
        return status

    def __enter__(self) -> Terminal:
        return self

    def __exit__(self, *_: object) -> None:
        self.end(0.0)


def _set_speed(terminal: int, baud: int) -> None:
    """What the system says of the speed of the line; a pseudo-terminal is as fast as ever."""
    settings = termios.tcgetattr(terminal)
    settings[4] = settings[5] = getattr(termios, f"B{baud}")
    termios.tcsetattr(terminal, termios.TCSANOW, settings)


def python(*arguments: str) -> list[str]:
    """Command line of this very Python."""
    return [sys.executable, *arguments]
