"""The route table: every screen by name, loaded when somebody goes there. Only the app reads it."""

from __future__ import annotations

from importlib import import_module

from core.base.light_dataclass import dataclass


@dataclass(frozen=True)
class Route:
    """A screen that is opened by name: `context.go(name, job_id)`."""

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
    "paper": Route("tui.screens.base.paper", "PaperScreen"),
    # The board and what is found from it.
    "board": Route("tui.screens.board.board", "BoardScreen", needs_job=False),
    "jobs": Route("tui.screens.board.jump", "JumpScreen", needs_job=False),
    "find": Route("tui.screens.board.history", "HistoryScreen", needs_job=False),
    "visits": Route("tui.screens.board.visits", "VisitsScreen"),
    "card": Route("tui.screens.board.job_card", "JobCardScreen"),
    "notes": Route("tui.screens.board.notes", "NotesScreen"),
    "changes": Route("tui.screens.board.changes", "ChangesScreen"),
    "open_again": Route("tui.screens.board.open_again", "OpenAgainScreen"),
    "new_job": Route("tui.screens.board.new_job", "NewJobScreen", needs_job=False),
    # Intake.
    "new_customer": Route("tui.screens.intake.new_customer", "NewCustomerScreen", needs_job=False),
    "intake": Route("tui.screens.intake.intake", "IntakeScreen"),
    "areas": Route("tui.screens.intake.areas", "AreasScreen"),
    # The sweep and the shape.
    "sweep": Route("tui.screens.sweep.sweep", "SweepScreen"),
    "sweep_setup": Route("tui.screens.sweep.sweep_setup", "SweepSetupScreen"),
    "sweep_list": Route("tui.screens.sweep.sweep_list", "SweepListScreen"),
    "stations": Route("tui.screens.sweep.sweep_stations", "StationsScreen"),
    "plot": Route("tui.screens.shape.plot", "PlotScreen"),
    # Penetrant check.
    "penetrant": Route("tui.screens.penetrant.penetrant", "PenetrantScreen"),
    "area_note": Route("tui.screens.penetrant.penetrant_pages", "AreaNoteScreen"),
    "overrule": Route("tui.screens.penetrant.penetrant_pages", "OverruleScreen"),
    # Straightening.
    "straighten": Route("tui.screens.straightening.straighten", "StraightenScreen"),
    "hit": Route("tui.screens.straightening.hit_form", "HitScreen"),
    "line": Route("tui.screens.straightening.line_view", "LineScreen"),
    "stroke": Route("tui.screens.straightening.stroke", "StrokeScreen"),
    "heat": Route("tui.screens.straightening.heat_spot", "HeatScreen"),
    "cooling": Route("tui.screens.straightening.cooling", "CoolingScreen"),
    "press": Route("tui.screens.straightening.press", "PressScreen"),
    "hold": Route("tui.screens.straightening.hold", "HoldScreen"),
    # What is measured with a micrometer.
    "coupling": Route("tui.screens.measure.coupling", "CouplingScreen"),
    "coupling_setup": Route("tui.screens.measure.coupling_setup", "CouplingSetupScreen"),
    "face": Route("tui.screens.measure.face", "FaceScreen"),
    "face_setup": Route("tui.screens.measure.face_setup", "FaceSetupScreen"),
    "key": Route("tui.screens.measure.key", "KeyScreen"),
    "key_setup": Route("tui.screens.measure.key_setup", "KeySetupScreen"),
    "key_checks": Route("tui.screens.measure.key_checks", "KeyChecksScreen"),
    "shaft_end": Route("tui.screens.measure.shaft_end", "ShaftEndScreen"),
    "shaft_end_setup": Route("tui.screens.measure.shaft_end_setup", "ShaftEndSetupScreen"),
    "parts": Route("tui.screens.measure.shaft_end_pages", "PartsScreen"),
    "order_sheet": Route("tui.screens.measure.shaft_end_pages", "OrderSheetScreen"),
    "sizes": Route("tui.screens.measure.sizes", "SizesScreen"),
    "wear": Route("tui.screens.measure.wear", "WearScreen"),
    "wear_setup": Route("tui.screens.measure.wear_setup", "WearSetupScreen"),
    # Offer and release.
    "repair": Route("tui.screens.repair.repair", "RepairScreen"),
    "terms": Route("tui.screens.repair.repair_terms", "TermsScreen"),
    "release": Route("tui.screens.release.release", "ReleaseScreen"),
    "release_form": Route("tui.screens.release.release_form", "ReleaseFormScreen"),
    "close": Route("tui.screens.release.release_form", "CloseFormScreen"),
    "ticket": Route("tui.screens.release.release_page", "TicketScreen"),
    "letter": Route("tui.screens.release.letter", "LetterScreen"),
    # The shop and its book.
    "first_start": Route("tui.screens.settings.first_start", "FirstStartScreen", needs_job=False),
    "settings": Route("tui.screens.settings.settings", "SettingsScreen", needs_job=False),
    "setting_group": Route("tui.screens.settings.settings", "SettingsGroupScreen", needs_job=False),
    "figures": Route("tui.screens.statistics.statistics", "FiguresScreen", needs_job=False),
    "keeping": Route("tui.screens.upkeep.upkeep", "KeepingScreen", needs_job=False),
    "backups": Route("tui.screens.upkeep.backups", "BackupsScreen", needs_job=False),
    "check": Route("tui.screens.upkeep.check", "CheckScreen", needs_job=False),
    "merge": Route("tui.screens.upkeep.merge", "MergeScreen", needs_job=False),
    "conflicts": Route("tui.screens.upkeep.conflicts", "ConflictsScreen", needs_job=False),
    "export": Route("tui.screens.upkeep.export", "ExportScreen", needs_job=False),
    "import": Route("tui.screens.upkeep.import_sweep", "ImportScreen", needs_job=False),
    "import_cards": Route("tui.screens.upkeep.import_cards", "CardsScreen", needs_job=False),
    "columns": Route("tui.screens.upkeep.columns", "ColumnsScreen", needs_job=False),
    "erase": Route("tui.screens.upkeep.erase", "EraseScreen"),
}
