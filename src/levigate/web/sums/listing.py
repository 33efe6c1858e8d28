"""The quick sums, by what one does with them."""

from __future__ import annotations

from dataclasses import dataclass

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from levigate.reckon.sums import QuickSum, quick_sums
from levigate.web.sums.asking import label

#: What it is for -> the modules of `levigate.reckon` whose sums serve it.
GROUPS: tuple[tuple[Promise, tuple[str, ...]], ...] = (
    (_("To weigh, measure and fill"), ("measures", "syringe", "mixtures", "contents", "filling")),
    (_("To dissolve and dilute"), ("stocks", "dissolving")),
    (_("To set a pH"), ("acids", "neutralising")),
    (_("To make an emulsion"), ("emulsifying",)),
    (_("To heat, join and cool"), ("making",)),
    (_("To know how it flows"), ("flowing", "spreading")),
    (_("To keep powder and drops where they are"), ("settling", "holding", "sieving")),
    (_("To make it keep"), ("keeping",)),
)


@dataclass(frozen=True, slots=True)
class Group:
    """Sums that serve one purpose."""

    title: Promise
    sums: tuple[QuickSum, ...]

    @property
    def shown(self) -> list[tuple[str, str, str]]:
        """Name, name as words, and what it tells."""
        return [(one.name, label(one), one.title) for one in self.sums]


def grouped() -> tuple[Group, ...]:
    """Return all quick sums, by what they are for."""
    by_module: dict[str, list[QuickSum]] = {}
    for one in quick_sums().values():
        by_module.setdefault(one.function.__module__.rpartition(".")[2], []).append(one)
    return tuple(
        Group(title, tuple(one for module in modules for one in by_module.get(module, ()))) for title, modules in GROUPS
    )
