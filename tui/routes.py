"""Where one can go: every screen by name, imported only when somebody goes there."""

from __future__ import annotations

from dataclasses import dataclass
from importlib import import_module


@dataclass(frozen=True)
class Route:
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


ROUTES: dict[str, Route] = {
    "board": Route("Open jobs", "tui.screens.board.board", "BoardScreen", needs_job=False),
    "find": Route("Find in history", "tui.screens.board.history", "HistoryScreen", needs_job=False),
    "visits": Route("Visits of this shaft", "tui.screens.board.visits", "VisitsScreen"),
    "card": Route("Job card", "tui.screens.board.job_card", "JobCardScreen"),
    "new_job": Route("New job", "tui.screens.board.new_job", "NewJobScreen", needs_job=False),
    "new_customer": Route(
        "New job: new shaft",
        "tui.screens.intake.new_customer",
        "NewCustomerScreen",
        needs_job=False,
    ),
    "areas": Route("Riding areas", "tui.screens.intake.areas", "AreasScreen"),
    "intake": Route("Intake", "tui.screens.intake.intake", "IntakeScreen"),
    "wear": Route("Wear at the riding areas", "tui.screens.measure.wear", "WearScreen"),
    "settings": Route(
        "Settings", "tui.screens.settings.settings", "SettingsScreen", needs_job=False
    ),
    "keeping": Route(
        "Keeping the book", "tui.screens.upkeep.upkeep", "KeepingScreen", needs_job=False
    ),
    "sweep": Route("Runout sweep", "tui.screens.sweep.sweep", "SweepScreen"),
    "plot": Route("Shape and bends", "tui.screens.shape.plot", "PlotScreen"),
    "penetrant": Route("Penetrant check", "tui.screens.penetrant.penetrant", "PenetrantScreen"),
    "straighten": Route("Straighten", "tui.screens.straightening.straighten", "StraightenScreen"),
    "press": Route("Press", "tui.screens.straightening.press", "PressScreen"),
    "hold": Route("Hold check", "tui.screens.straightening.hold", "HoldScreen"),
    "repair": Route("Repair or replace", "tui.screens.repair.repair", "RepairScreen"),
    "coupling": Route("Coupling bore", "tui.screens.measure.coupling", "CouplingScreen"),
    "face": Route("Face and pilot", "tui.screens.measure.face", "FaceScreen"),
    "key": Route("Key and keyway", "tui.screens.measure.key", "KeyScreen"),
    "shaft_end": Route("Shaft end and parts", "tui.screens.measure.shaft_end", "ShaftEndScreen"),
    "sizes": Route("Sizes and whirl", "tui.screens.measure.sizes", "SizesScreen"),
    "release": Route("Release and ticket", "tui.screens.release.release", "ReleaseScreen"),
    "changes": Route("Changes", "tui.screens.board.changes", "ChangesScreen"),
    "forget": Route("Delete personal data", "tui.screens.upkeep.erase", "ForgetScreen"),
    "figures": Route(
        "Shop figures", "tui.screens.statistics.statistics", "FiguresScreen", needs_job=False
    ),
}
