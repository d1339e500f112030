"""Bibliographies in: BibTeX, RIS and CSL-JSON become sources with claims cited to the file and the line."""

from kg.intake.bibliography.plan import Plan as Plan
from kg.intake.bibliography.plan import Standing as Standing
from kg.intake.bibliography.plan import Taken as Taken
from kg.intake.bibliography.plan import Wishes as Wishes
from kg.intake.bibliography.plan import plan_bibliography as plan_bibliography
from kg.intake.bibliography.plan import record_bibliography as record_bibliography
from kg.intake.bibliography.plan import take_in_bibliography as take_in_bibliography
from kg.intake.bibliography.record import BadBibliography as BadBibliography
from kg.intake.bibliography.record import FaultyRecords as FaultyRecords
