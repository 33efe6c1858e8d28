"""What is kept as it was written. A correction is a new entry that names the old one, and says why."""

from __future__ import annotations

from typing import Any, NoReturn

from django.db import models

from levigate.errors import RecordError


class KeptQuerySet(models.QuerySet[Any]):
    """Refuses to change or delete many at once; the database refuses too."""

    def update(self, **kwargs: Any) -> NoReturn:
        """Refuse."""
        raise RecordError(_refusal(self.model))

    def delete(self) -> NoReturn:
        """Refuse."""
        raise RecordError(_refusal(self.model))

    def bulk_update(self, *args: Any, **kwargs: Any) -> NoReturn:
        """Refuse."""
        raise RecordError(_refusal(self.model))


class Kept(models.Model):
    """An entry that is written once and never changed or deleted."""

    at = models.DateTimeField(auto_now_add=True, editable=False)

    objects = KeptQuerySet.as_manager()

    class Meta:
        abstract = True

    def save(self, *args: Any, **kwargs: Any) -> None:
        """Write the entry; refuse to write it again."""
        if not self._state.adding:
            raise RecordError(_refusal(type(self)))
        kwargs["force_insert"] = True
        super().save(*args, **kwargs)

    def delete(self, *args: Any, **kwargs: Any) -> NoReturn:
        """Refuse."""
        raise RecordError(_refusal(type(self)))


def _refusal(model: type[models.Model]) -> str:
    return f"A {model._meta.verbose_name} is kept as it was written; add a correction that names it instead."
