"""Parameters of a re-run, checked in full before anything runs."""

from __future__ import annotations

import hashlib
import re
from collections.abc import Mapping
from typing import Any

from stallwise.ground.errors import InputError, NotFoundError
from stallwise.joins.parameters import PARAMETERS, resolve, run_settings, split_name
from stallwise.joins.planfaults import plan_faults
from stallwise.record.cookfolder import CookFolder
from stallwise.record.schema import Cook
from stallwise.surfaces.rerun.against import AS_IT_IS
from stallwise.surfaces.rerun.trust import Choice, parameter_names

__all__ = ["RUN_NAMES", "check_names", "check_parameters", "output_name", "plan_of", "undeclared"]

#: Names of the template that are no plan parameters.
RUN_NAMES = frozenset({"as_of"})

#: Longest name of an output; what is longer is cut and told apart by a short digest.
_LONGEST = 80


def check_names(changes: Mapping[str, Any]) -> None:
    """Refuse a name that no cook can have, and a value that is neither text nor number.

    Raises
    ------
    InputError
    """
    for name, value in changes.items():
        if not isinstance(value, (str, int, float, type(None))):
            raise InputError(
                f"{name} = {value!r} is a {type(value).__name__}",
                'text or a number, such as "250 F"',
            )
        if name in RUN_NAMES:
            continue
        if name.partition("__")[0] not in PARAMETERS:
            raise NotFoundError("parameter", name, [*PARAMETERS, *sorted(RUN_NAMES)])
        split_name(name)
    run_settings(plan_of(changes))


def check_parameters(
    folder: CookFolder, changes: Mapping[str, Any], cook: Cook | None = None
) -> None:
    """Refuse what one cook cannot take: a letter, a value of the wrong kind or out of its range.

    Parameters
    ----------
    folder : CookFolder
        The cook.
    changes : mapping
        Names and values.
    cook : Cook, optional
        As read, where it was already.

    Raises
    ------
    InputError
        A name that is no parameter, a letter that the cook does not have, a bare number
        where a unit is needed, or a value that is not allowed.
    """
    check_names(changes)
    cook = cook or folder.read()
    try:
        changed = resolve(cook, plan_of(changes))
        if changed is not cook:
            _in_range(folder, cook, changed)
    except NotFoundError:
        raise
    except InputError as error:
        raise InputError(
            error.came, error.allowed, error.todo, where=error.where or folder.name
        ) from None


def _in_range(folder: CookFolder, cook: Cook, changed: Cook) -> None:
    own = folder.home.overlay("cuts")
    were = set(plan_faults(cook, own))
    new = [said for said in plan_faults(changed, own) if said not in were]
    if new:
        raise InputError(" ".join(new))


def plan_of(changes: Mapping[str, Any]) -> dict[str, Any]:
    """Plan parameters among the changes: all but those of the asking."""
    return {name: value for name, value in changes.items() if name not in RUN_NAMES}


def undeclared(folder: CookFolder, choice: Choice, changes: Mapping[str, Any]) -> str:
    """Say which name the notebook to be run does not know; papermill would only warn of it."""
    if choice.notebook is None or choice.whose == "trusted":
        return ""
    names = parameter_names(choice.notebook)
    for name in changes:
        if name.partition("__")[0] not in names:
            return (
                f"Its notebook is of an older template, which does not know {name}. Renew it with: "
                f"stallwise renew {folder.name}. Or have the figures alone: --numbers."
            )
    return ""


def output_name(changes: Mapping[str, Any]) -> str:
    """Stem of the outputs: the changes in short; a run with none takes the place of the last."""
    if not changes:
        return AS_IT_IS
    words = "-".join(f"{name}-{value}" for name, value in sorted(changes.items()))
    short = re.sub(r"[^A-Za-z0-9_.]+", "-", words).strip("-.")
    digest = hashlib.blake2b(repr(sorted(changes.items())).encode(), digest_size=3).hexdigest()
    return f"rerun-{short[:_LONGEST].rstrip('-.')}-{digest}"
