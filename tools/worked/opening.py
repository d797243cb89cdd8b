"""First cells that worked notebooks share: a scratch folder, and a terminal in it."""

from __future__ import annotations

__all__ = ["SAMPLE", "TERMINAL"]

#: `run` is the terminal; a command that fails where it should not stops the notebook.
TERMINAL = '''import os
import shlex
import sys
import tempfile
from contextlib import redirect_stderr

from stallwise.cli.main import main

os.chdir(tempfile.mkdtemp())


def run(line, ends=0):
    """Run a line as it is typed in a terminal."""
    with redirect_stderr(sys.stdout):
        assert main(shlex.split(line)[1:]) == ends'''

#: The same, in a cookbook with the sample cooks.
SAMPLE = f"""{TERMINAL}


run("stallwise init sample --sample --timezone Etc/GMT+5")
os.chdir("sample")"""
