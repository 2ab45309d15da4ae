"""The group of commands, each imported when it is asked for, and how a command ends when something goes wrong."""

from __future__ import annotations

import errno
import importlib
import os
import traceback
from typing import Any, NoReturn

import click

from fleetstats import __version__
from fleetstats.errors import FleetstatsError, InputRefused, Problem

COMMANDS = (
    "run", "demo", "template", "draft", "import", "check", "list", "diagnose", "estimate", "decide", "report", "explain", "dictionary",
)
"""In the order a user meets them; the module is the name with `_command` behind it (`import` is a word of the language)."""


class Command(click.Command):
    """A command whose help shows an example, the same call in Python and what to read next, and whose faults end in a sentence."""

    def __init__(self, *args: Any, example: str, call: str, see_also: tuple[str, ...], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.example = example
        self.call = call
        self.see_also = see_also

    def format_epilog(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """The example (run by the tests), the call of the package behind the command, and related commands."""
        with formatter.section("Example"):
            formatter.write(f"{'':>{formatter.current_indent}}{self.example}\n")
        with formatter.section("In Python"):
            formatter.write(f"{'':>{formatter.current_indent}}{self.call}\n")
        with formatter.section("See also"):
            formatter.write_text(", ".join(self.see_also))

    def invoke(self, ctx: click.Context) -> Any:
        """Run; a fault is told on standard error in one paragraph and ends with its declared code."""
        try:
            return super().invoke(ctx)
        except (click.ClickException, click.exceptions.Exit, click.Abort):
            raise
        except KeyboardInterrupt:
            click.echo("Interrupted; nothing is left half-written.", err=True)
            ctx.exit(130)
        except FleetstatsError as error:
            _end(ctx, str(error), error.exit_code)
        except OSError as error:
            if error.errno == errno.EPIPE:
                raise
            _end(ctx, str(_unreachable(error)), InputRefused.exit_code)
        except Exception as error:
            _end(ctx, f"A fault of fleetstats itself ({type(error).__name__}). Please report it; --verbose shows where it happened.", 1)


def _unreachable(error: OSError) -> Problem:
    """A file or folder that the system does not let us read or write, in a sentence."""
    why = (error.strerror or type(error).__name__).lower()
    return Problem(what=f"cannot be read or written ({why})", file=os.path.basename(str(error.filename or "")) or None,
                   remedy="Name a file or folder that is there and that you may write.")


def _end(ctx: click.Context, paragraph: str, code: int) -> NoReturn:
    click.echo(traceback.format_exc() if ctx.params.get("verbose") else paragraph, err=True)
    ctx.exit(code)


class LazyGroup(click.Group):
    """Knows its commands by name and imports the one that is asked for."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """Names in the order of use."""
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """The command of this name, or None."""
        if cmd_name not in COMMANDS:
            return None
        module = importlib.import_module(f"fleetstats.cli.{cmd_name}_command")
        command: click.Command = module.command
        return command


@click.group(cls=LazyGroup, context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100})
@click.version_option(__version__, prog_name="fleetstats")
def main() -> None:
    """From messy service records of absorption refrigerators to lives, misdiagnosis, decisions and budgets."""
