"""Base of every table and file of a cookbook: strict, frozen, unknown keys kept, schema named."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Annotated, Any, Self

from pydantic import BaseModel, ConfigDict, Field, ModelWrapValidatorHandler, model_validator
from pydantic_core import InitErrorDetails, ValidationError

from stallwise.record.fields import refusal
from stallwise.record.letters import Place

__all__ = ["SCHEMA", "Crossed", "File", "Table", "faults"]

#: Version of every file format written by this release.
SCHEMA = 1


class Table(BaseModel):
    """One table of a file."""

    # Built when first used: a command that opens no cook does not pay for its model.
    model_config = ConfigDict(extra="allow", strict=True, frozen=True, defer_build=True)


class File(Table):
    """A file, with its schema."""

    schema_: Annotated[int, Field(alias="schema", ge=0)] = SCHEMA


class Crossed(File):
    """A file whose values have to fit together."""

    @staticmethod
    def faults_of(data: Mapping[str, Any]) -> list[tuple[Place, str, str]]:
        """List what does not fit together though each value for itself is right."""
        del data
        return []

    @model_validator(mode="wrap")
    @classmethod
    def _fits_together(cls, data: Any, read: ModelWrapValidatorHandler[Self]) -> Self:
        made = read(data)
        found = cls.faults_of(data) if isinstance(data, Mapping) else []
        if found:
            wrong = [
                InitErrorDetails(type=refusal(came, allowed), loc=at, input=None)
                for at, came, allowed in found
            ]
            raise ValidationError.from_exception_data(cls.__name__, wrong)
        return made


def faults(model: type[BaseModel], data: Mapping[str, Any]) -> list[tuple[Place, str, str]]:
    """List what does not fit together in a file as read, of a model that looks for it."""
    return model.faults_of(data) if issubclass(model, Crossed) else []
