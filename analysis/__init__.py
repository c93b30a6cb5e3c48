"""The engine: pure functions from a case document to findings.  SI inside, units at the door.

``parse_case(document) -> Case`` reads and checks a document; ``analyse(case, rng) -> Findings`` answers it.
"""
from analysis.document import Case, CaseFaults, Fault, faults_of, parse_case
from analysis.engine import analyse
from analysis.findings import ENGINE_VERSION, Findings

__all__ = ["ENGINE_VERSION", "Case", "CaseFaults", "Fault", "Findings", "analyse", "faults_of", "parse_case"]
