"""Words by which riders tell of a danger without ticking it on the safety page, in English, German and Spanish.

Nothing is stopped by a word: a tuner reads the sentence and decides.  Rather a harmless sentence shown than a danger
passed over in silence; words that every complaint has, such as a front that dives under the brakes, stay out.
Which words people use is common practice, no source.
"""
from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import lru_cache

from analysis.catalogue import QUESTIONS
from analysis.gates import SIGNS
from intake.models import Round
from intake.paths import at_path

NOT = "no|not|t|never|without|nicht|kein|keine|keinen|keinerlei|nie|ohne|sin|nunca|ni|ningun|ninguna"
"""A danger that is denied is none; the "t" is what is left of "isn't"."""
PLACES = "disc|discs|disk|disks|rotor*|pad|pads|caliper*|brake|brakes|tyre*|tire*"
SAYS = "feel|feels|felt|is|are|was|were|went|goes|got|gets|become|becomes|became|seem|seems"

STEMS: Mapping[str, tuple[str, ...]] = {
    "safety.oil_on_brake": (
        f"oil ~ (on|onto|over|reaches|reached|into|towards) ~ ({PLACES})",
        f"(leak*|drip*|runs|running|sprays) ~ (on|onto|over|into) ~ ({PLACES})", f"oily ({PLACES})",
        f"({PLACES}) ~ (oily|soaked|covered in oil|full of oil|wet with oil)",
        f"({PLACES}) (has|have|got|with) oil", "(soaked|contaminated) (brake pads|pads|discs|disc)",
        "(*ol|*oel) ~ (auf|an|uber|bis|richtung) ~ (brems*|*scheibe|*scheiben|*belag|*belage*|*sattel|*reifen)",
        "(lauft|tropft|sifft|spritzt) ~ (auf|an|uber) ~ (brems*|*scheibe|*sattel|*reifen)",
        "(brems*|*belage|*reifen) ~ (*olig*|*oelig*|verolt*|veroelt*|voller ol|voller oel)",
        "(*olige|*oelige|verolte*|veroelte*) ~ (brems*|scheibe*|belage|reifen)",
        "aceite ~ (en|sobre|hasta) ~ (disco*|pastilla*|freno|frenos|pinza*|neumatico*)",
        "(gotea|cae|chorrea) ~ (en|sobre) ~ (disco*|pastilla*|freno|frenos|pinza*|neumatico*)",
        "(disco*|pastillas|pinza*|neumatico*) ~ (aceitos*|con aceite|llen* de aceite|manchad* de aceite)"),
    "safety.crack_or_crease": (
        "(crack|cracks|cracked|hairline|crease|creased|creases|bulge|bulged|fracture*|snapped)",
        "(fork|leg|tube|yoke|clamp|axle|frame|lug|swingarm) ~ (broken|broke)",
        "broken (fork|leg|tube|yoke|axle|frame|lug)",
        "(riss|risse|haarriss*|gerissen|angerissen|eingerissen|gebrochen*|angebrochen*|geknickt*|knick)",
        "(grieta*|fisura*|agrietad*|rajad*|abombad*)",
        "(horquilla|barra|botella|tija|eje|chasis|basculante|tubo) ~ (partid*|rot*)"),
    "safety.bent_or_off_centre": (
        "(fork|forks|leg|legs|tube|tubes|axle|yoke*|bar|bars|stanchion*|handlebar*|rim) ~ (bent|crooked|not straight)",
        "(bars|handlebar*|steering) ~ (off centre|off center)",
        "bent (fork*|leg*|tube*|axle|yoke*|stanchion*|bar|bars|handlebar*)", "verbogen*",
        "(lenker|gabel*|holm*|*rohr*|achse|vorderrad) ~ (krumm*|schief*)", "krumme* (gabel*|holm*|*rohr*)",
        "(horquilla|barra*|tubo*|eje|manillar|tija*|botella*) ~ (doblad*|torcid*)"),
    "safety.cap_damaged": (
        "cap ~ (lift*|loose|stripped|damaged|flew|popped|blew|coming off)",
        "(*deckel|*stopfen|verschlussschraube*) ~ (lose|locker|beschadigt|hebt|ausgerissen|uberdreht|abgesprungen)",
        "(tapon*|tapa*) ~ (suelt*|floj*|danad*|levanta*|pasad*)"),
    "safety.clamping_doubtful": (
        "(axle|pinch|yoke|clamp) ~ (stripped|missing|loose|sheared)", "stripped (thread*|bolt*)",
        "(achs*|klemm*|gabelbrucke*) ~ (lose|locker|fehlt|uberdreht|ausgerissen|abgerissen)",
        "gewinde ~ (uberdreht|ausgerissen)", "(eje|tornillo*|tuerca*|tija*) ~ (suelt*|floj*|falta|pasad*)"),
    "safety.head_bearing_play": (
        "(head|headstock|steering|stem) ~ (play|notch*|loose|clunk*)", "(notch*|play) ~ (head|headstock|steering)",
        "(lenkkopf*|lenkung|lenker|steuerkopf*) ~ (spiel|rastet|raste|rastpunkt*|lose|locker|wackelt)",
        "(spiel|rastpunkt*) ~ (lenkkopf*|lenkung|steuerkopf*)",
        "(direccion|manillar) ~ (holgura|juego|muesca*|suelt*|floj*)",
        "(holgura|juego|muesca*) ~ (direccion|manillar)"),
    "safety.wheel_bearing_play": (
        "wheel (bearing|bearings) ~ (play|loose|worn|gone|rough|shot)", "wheel ~ (play|loose)",
        "play ~ (wheel|wheels)", "radlager ~ (spiel|defekt|hin|kaputt|locker|ausgeschlagen)",
        "(vorderrad|hinterrad) ~ (spiel|wackelt|lose|locker)", "spiel ~ (radlager|vorderrad|hinterrad)",
        "rueda ~ (holgura|juego|suelta|floja)", "(holgura|juego) ~ rueda"),
    "safety.stuck_down": (
        "(stuck|stays|stayed|remains) (down|compressed)", "(not|t|never) (come|comes) back up",
        "(bleibt|blieb) ~ (unten|eingefedert|stecken)", "kommt (nicht|nie) (mehr hoch|mehr zuruck|mehr raus|hoch)",
        "queda ~ (abajo|hundid*|comprimid*|clavad*|bloquead*)", "no (vuelve a subir|sube)"),
    "safety.tyre_touches": (
        "(tyre|tire|wheel) ~ (touch*|rub|rubs|hits|fouls) ~ (radiator|mudguard|fender|exhaust|engine|frame|fairing)",
        "(reifen|rad|vorderrad|hinterrad) ~ (schleift|streift|beruhrt) ~ (kuhler|schutzblech|kotflugel|auspuff|motor)",
        "(neumatico|rueda) ~ (toca|roza|golpea) ~ (radiador|guardabarros|escape|motor|chasis)"),
    "safety.brake_weak": (
        f"(brake|brakes|brake lever) ({SAYS}) ~ (soft|spongy|weak|mushy|useless|dead|softer|weaker)",
        "(brake|brakes) (soft|spongy|weak|mushy)",
        "(soft|spongy|weak|mushy) (brake|brakes|front brake|rear brake|brake lever)",
        "(brake|brakes) (fail|fails|failed|fade|fades|faded|fading|leaks|leak)",
        "(brake|brakes) (do not|don t|does not|doesn t|won t|barely|hardly) (work|bite|stop|hold)",
        "(brake|brakes) ~ (lost|loses|lose) pressure", "no (brake|brakes|braking) (pressure|power|force)",
        "brake fluid ~ (leak*|lost|loss)",
        "lever ~ (to the bar|to the grip)",
        "bremse (ist|wird|wurde|fuhlt sich|greift|packt|zieht) ~ (weich*|schwammig*|schwach*|schlecht*|kaum)",
        "bremse (weich|schwammig|schwach)", "bremse (greift|packt|zieht|bremst) nicht",
        "(weiche|schwammige|schwache) (bremse|vorderbremse|vorderradbremse)",
        "bremshebel ~ (weich*|schwammig*|lenker|griff)", "(bremse|bremsen) ~ (versagt*|ausgefallen)",
        "(bremswirkung|bremsleistung|bremsdruck) ~ (schlecht*|schwach*|weg|nachgelassen)",
        "freno (delantero|trasero|es|esta|va|se siente|se nota|quedo) ~ (blando*|esponjos*|floj*|debil*|mal)",
        "frenos (estan|van|se sienten) ~ (blandos|esponjosos|flojos|debiles|mal)",
        "(freno|frenos) (esponjos*|blando*|floj*)",
        "(maneta|palanca) ~ (esponjos*|bland*|hasta el puno|hasta el manillar)", "no frena", "frena poco",
        "sin (freno|frenos)"),
    "safety.loose_parts_knock": (
        "loose (part|parts|piece|pieces|bit|bits)", "(part|parts|piece|pieces) ~ loose ~ inside", "lose teile",
        "teile ~ (lose|locker)", "(pieza|piezas) suelta*"),
    "safety.shock_damaged": (
        "shock ~ (leak*|bulg*|bent|broken)", "oil ~ (on|from|out of) ~ shock", "broken spring",
        "spring (is|has) (broken|snapped)",
        "(federbein|stossdampfer) ~ (undicht|leckt|olt|oelt|verliert ol|verliert oel|krumm|verbogen)",
        "(amortiguador|muelle) ~ (pierde*|rot*|doblad*|fuga*)"),
    "safety.over_rated_load": (
        "overloaded", "over the (weight limit|load limit|rating)", "(uberladen|ueberladen|uberlastet)", "sobrecargad*",
        "exceso de (peso|carga)"),
}
"""By the question of the safety page they belong to.  ``*`` is any rest of a word, ``~`` up to four words of the same
sentence, none of which denies it.  All without accents and in small letters."""

ORDINARY: Mapping[str, tuple[str, ...]] = {
    "safety.oil_on_brake": ("oil change*", "oil level*", "oil weight*"),
    "safety.crack_or_crease": ("crack (of|open|the)", "(cracked|crack) (open|the|it)", "broken in",
                               "(reten|retenes|junta|guardapolvo*) rot*"),
    "safety.brake_weak": ("(on|under) (the )?(brake|brakes)", "auf der bremse"),
}
"""Harmless turns that hold a word of the same question's list; they are taken out before it is looked for."""
LONGEST = 200
"""So many signs of a sentence are shown."""


@dataclass(frozen=True)
class Spoken:
    """A danger asked for at ``path`` that ``words`` of the rider speak of; ``denied``: the safety page says no."""

    path: str
    name: str
    words: str
    denied: bool


def spoken_of(round: Round) -> tuple[Spoken, ...]:
    """Return the dangers that the words of ``round`` speak of and its safety page does not tell, once each."""
    texts = [*_texts(round.document), round.changes]
    found = {path: words for text in reversed(texts) for path, words in dangers_in(text).items()}
    return tuple(Spoken(path, sign.name, found[path], _bare(round.document, path) is False)
                 for path, sign in SIGNS.items() if path in found and _bare(round.document, path) is not True)


def dangers_in(text: str) -> dict[str, str]:
    """Return, by the path of its question, the first sentence of ``text`` that speaks of a danger, as it was typed."""
    found: dict[str, str] = {}
    for sentence in re.split(r"(?<=[.;!?\n])", text):
        plain = _plain(sentence)
        found = {path: sentence.strip()[:LONGEST] for path in STEMS if _speaks(path, plain)} | found
    return found


def _speaks(path: str, plain: str) -> bool:
    left = _ordinary(path).sub(".", plain) if path in ORDINARY else plain
    return any(not _denied(left[:one.start()]) for one in _pattern(path).finditer(left))


def _texts(document: Mapping[str, object]) -> Iterator[str]:
    for path, question in QUESTIONS.items():
        value = _bare(document, path) if question.kind == "text" else None
        if isinstance(value, str):
            yield value


def _bare(document: Mapping[str, object], path: str) -> object:
    raw = at_path(document, path)[1]
    return raw.get("value") if isinstance(raw, dict) else raw


def _plain(text: str) -> str:
    """Return small letters without accents, one blank between words, and a full stop wherever a thought ends."""
    bare = "".join(sign for sign in unicodedata.normalize("NFKD", text.casefold()) if not unicodedata.combining(sign))
    return " ".join(re.sub(r"[.;!?,\n]+", " . ", re.sub(r"[^\w.;!?,\n]+", " ", bare)).split())


def _denied(before: str) -> bool:
    """Tell whether one of the two words before denies it."""
    return bool(re.search(rf"\b({NOT})( \w+)?\s*$", before))


@lru_cache
def _pattern(path: str) -> re.Pattern[str]:
    return _compiled(STEMS[path])


@lru_cache
def _ordinary(path: str) -> re.Pattern[str]:
    return _compiled(ORDINARY[path])


def _compiled(stems: tuple[str, ...]) -> re.Pattern[str]:
    gap = rf"(?: (?!(?:{NOT})\b)\w+){{0,4}} "
    written = "|".join(stems).replace("*", r"\w*").replace(" ~ ", gap)
    return re.compile(rf"\b(?:{written})\b")
