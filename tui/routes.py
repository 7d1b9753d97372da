"""Where one can go: every screen by name, imported only when somebody goes there."""

from __future__ import annotations

from dataclasses import dataclass
from importlib import import_module


@dataclass(frozen=True)
class Place:
    """A screen that can be opened by name with `app.go(name, ...)`."""

    title: str
    """Words for menus and for the top line."""
    module: str
    """Module that holds it."""
    cls: str
    """Class name in the module."""
    needs_job: bool = True
    """Whether its first argument is `job_id`."""

    def load(self) -> type:
        """Import the module and give back the class."""
        loaded = getattr(import_module(self.module), self.cls)
        assert isinstance(loaded, type)
        return loaded


PLACES: dict[str, Place] = {
    "board": Place("Open jobs", "tui.screens.board.board", "BoardScreen", needs_job=False),
    "find": Place("Find in history", "tui.screens.board.history", "HistoryScreen", needs_job=False),
    "visits": Place("Visits of this shaft", "tui.screens.board.visits", "VisitsScreen"),
    "card": Place("Job card", "tui.screens.board.job_card", "JobCardScreen"),
    "new_job": Place("New job", "tui.screens.board.new_job", "NewJobScreen", needs_job=False),
    "new_customer": Place(
        "New job: new shaft",
        "tui.screens.intake.new_customer",
        "NewCustomerScreen",
        needs_job=False,
    ),
    "areas": Place("Riding areas", "tui.screens.intake.areas", "AreasScreen"),
    "intake": Place("Intake", "tui.screens.intake.intake", "IntakeScreen"),
    "wear": Place("Wear at the riding areas", "tui.screens.measure.wear", "WearScreen"),
    "settings": Place(
        "Settings", "tui.screens.settings.settings", "SettingsScreen", needs_job=False
    ),
    "keeping": Place(
        "Keeping the book", "tui.screens.upkeep.upkeep", "KeepingScreen", needs_job=False
    ),
    "sweep": Place("Runout sweep", "tui.screens.sweep.sweep", "SweepScreen"),
    "plot": Place("Shape and bends", "tui.screens.shape.plot", "PlotScreen"),
    "penetrant": Place("Penetrant check", "tui.screens.penetrant.penetrant", "PenetrantScreen"),
    "straighten": Place("Straighten", "tui.screens.straightening.straighten", "StraightenScreen"),
    "press": Place("Press", "tui.screens.straightening.press", "PressScreen"),
    "hold": Place("Hold check", "tui.screens.straightening.hold", "HoldScreen"),
    "repair": Place("Repair or replace", "tui.screens.repair.repair", "RepairScreen"),
    "coupling": Place("Coupling bore", "tui.screens.measure.coupling", "CouplingScreen"),
    "face": Place("Face and pilot", "tui.screens.measure.face", "FaceScreen"),
    "key": Place("Key and keyway", "tui.screens.measure.key", "KeyScreen"),
    "shaft_end": Place("Shaft end and parts", "tui.screens.measure.shaft_end", "ShaftEndScreen"),
    "sizes": Place("Sizes and whirl", "tui.screens.measure.sizes", "SizesScreen"),
    "release": Place("Release and ticket", "tui.screens.release.release", "ReleaseScreen"),
    "changes": Place("Changes", "tui.screens.board.changes", "ChangesScreen"),
    "forget": Place("Delete personal data", "tui.screens.upkeep.erase", "ForgetScreen"),
    "figures": Place(
        "Shop figures", "tui.screens.statistics.statistics", "FiguresScreen", needs_job=False
    ),
}
