"""The job card in words: the facts of a job for the screen, and the whole card for paper."""

from __future__ import annotations

from core.base.shop_records import Job
from core.base.text import one_line
from core.base.times import local_text
from core.base.units import format_from_to, format_shop_size, format_station, length_words
from core.book import customers, history, jobs, settings, sweeps
from core.book.cards.old_cards import cards_of_shaft
from core.book.connection import Book
from core.jobs.card_import.card_words import visit_on_card
from core.jobs.intake.due import day_of, due_words
from core.jobs.job_facts import JobFacts
from core.jobs.steps import steps_of
from core.reports.text_layout import wrapped

MARK = {"done": "done", "next": "NEXT", "blocked": "STOPPED", "not wanted": "not asked for"}
"""State of a step -> the word beside it."""


def visit_number(book: Book, job: Job) -> int:
    """Which visit of its shaft a job is: 1 for the first."""
    return sum(one.opened_at <= job.opened_at for one in jobs.jobs_of_shaft(book, job.shaft_id))


def job_facts_in_words(book: Book, job_id: str, again: str = "") -> list[tuple[str, str]]:
    """(label, words) of a job, four to six; `again` names bends at old places."""
    job = jobs.job(book, job_id)
    shaft = history.shaft_of(book, job)
    customer = customers.customer(book, history.vessel_of(book, job).customer_id)
    size = f"{format_shop_size(shaft.diameter_in)} x {format_shop_size(shaft.length_in)}"
    areas = len(history.areas_of(book, job))
    placed = sweeps.rollers_of(book, job)
    rollers = "not placed yet"
    if placed:
        rollers = f"{format_station(placed[0], unit=False)} and {format_station(placed[1])}"
    due = due_words(job.due, day_of(book.now()))
    lines = [
        ("Customer", f"{customer.name}   {customer.phone}"),
        ("Shaft", f"{size}   {shaft.material or 'material not known'}"),
        ("Rollers", f"{rollers}   riding areas: {areas or 'none yet (F4)'}"),
        ("Opened", f"{local_text(job.opened_at, '%d %b %Y')}   due: {due or 'not said'}"),
    ]
    if job.complaint:
        lines.append(("Complaint", job.complaint))
    cards = cards_of_shaft(book, job.shaft_id)
    if cards:
        lines.append(("Old cards", "; ".join(map(visit_on_card, cards))))
    number = visit_number(book, job)
    if number > 1:
        lines.append((f"Visit {number}", f"{again or 'of this shaft'} (F6: visits)"))
    return lines


def job_sheet(book: Book, job_id: str, facts: JobFacts) -> str:
    """The card as text of 80 columns: facts, riding areas, steps, notes.

    `facts` are those that the screen shows, so that paper and screen agree.
    """
    job = jobs.job(book, job_id)
    vessel = history.vessel_of(book, job)
    shop = settings.load(book).shop_name
    at = local_text(book.now(), "%d %b %Y %H:%M")
    lines = [f"{shop}   JOB CARD {job.tag}   {at}".strip(), ""]
    lines.append(f"{'Vessel':<11}{vessel.name}, {history.shaft_of(book, job).position}")
    for label, words in job_facts_in_words(book, job_id):
        lines.append(f"{label:<11}{words.replace(' (F4)', '').replace(' (F6: visits)', '')}")
    lines += ["", f"RIDING AREAS, {length_words()} from the end the stations start at"]
    for area in history.areas_of(book, job):
        lines.append(f"  {area.name:<30}{format_from_to(area.from_in, area.to_in, unit=False)}")
    lines += ["", "STEPS"]
    for step in steps_of(facts):
        lines.append(f"  [ ] {step.title:<22}{step.say:<38}{MARK.get(step.state, '')}".rstrip())
    notes = jobs.notes_of(book, job_id)
    if notes:
        lines += ["", "NOTES"]
        lines += [f"  {local_text(n.at, '%d %b')} {n.by}: {one_line(n.text)}" for n in notes]
    return "\n".join(part for line in lines for part in wrapped(line, rest=" " * 11) or [""]) + "\n"
