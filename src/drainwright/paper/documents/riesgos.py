"""The risk sheet in plain crew Spanish: the same rows, figures and names as the English one."""

from __future__ import annotations

from drainwright.build.earth import barrow_load
from drainwright.build.model import DigPlan
from drainwright.build.wording import barrow_rounds
from drainwright.design import Design
from drainwright.findings.model import Severity
from drainwright.job.values import Basis
from drainwright.paper.documents.blocks import Block, Cell, Column, Facts, Heading, Notice, Paragraph, Table
from drainwright.paper.documents.say import Say, joined, site_of

BLANK = "____________________"
Row = tuple[str, str, str]  # peligro, aquí, hacemos
BASIS = {Basis.MEASURED: "medido", Basis.MAPPED: "de un plano", Basis.STATED: "dicho", Basis.ASSUMED: "supuesto"}
KINDS = {
    "water": "agua", "reclaimed": "agua reciclada", "irrigation": "riego", "irrigation control": "cables de riego",
    "electric": "electricidad", "gas": "gas", "communication": "teléfono o datos", "sewer": "drenaje sanitario",
    "septic": "fosa séptica", "storm drain": "drenaje de lluvia", "low voltage lighting": "luces de bajo voltaje",
    "pool": "alberca", "propane": "gas propano", "oil": "petróleo",
}  # fmt: skip
COATS = {"damp-proofing": "sellado contra humedad", "waterproofing": "impermeabilizante"}


def _y(words: list[str] | tuple[str, ...]) -> str:
    return joined(words, "y")


def risk_sheet_spanish(design: Design) -> tuple[Block, ...]:
    """The risk sheet in Spanish: one page of hazards, one of emergencies."""
    say = Say(design.job.units)
    columns = (Column(head="Qué", width=1.5), Column(head="Aquí", width=3.6), Column(head="Hacemos", width=4.2))
    cells = tuple((Cell(text=a, weight="semibold", size=1.06), b, c) for a, b, c in rows_spanish(design))
    return (
        Heading(text="Dos minutos antes de la primera pala", new_page=True),
        Paragraph(text="Se lee en voz alta. Cualquiera puede parar el trabajo.", style="strong"),
        Table(columns=columns, rows=cells, size=0.96),
        Heading(text="Si algo sale mal", new_page=True),
        Paragraph(text="Primero todos lejos. Nadie entra detrás de nadie.", style="strong"),
        Table(
            columns=(Column(head="Qué", width=1.5), Column(head="Qué hacen todos", width=6)),
            rows=tuple(
                (Cell(text=name, weight="semibold", size=1.06, colour="#8f1d14"), what)
                for name, what in emergencies_spanish(say, basin=design.system.station is not None)
            ),
            size=1.05, tall=True,
        ),
        Facts(
            items=(
                ("Persona competente hoy", BLANK), ("Botiquín y extintor están en", BLANK),
                ("Diga a los rescatistas", site_of(design.job) or BLANK),
            ),
            columns=1,
        ),
        Notice(
            tone="caution", title="Si el suelo dice otra cosa que el papel",
            text="Paren y llamen. Otro fondo de cimiento, una línea que no está en la hoja, agua donde no se dibujó, "
            "un muro que se mueve: primero cambia el diseño, luego sigue la excavación.",
        ),
    )  # fmt: skip


def rows_spanish(design: Design) -> tuple[Row, ...]:
    """The rows of hazards, in the order of the English sheet."""
    say = Say(design.job.units)
    return (
        _collapse(design, say), _undermining(design, say), _lines(design), *_electricity(design), *_fumes(design),
        ("Polvo de sílice", "Limpiar, cortar y taladrar bloque o concreto.",
         "Corte con agua o con aspiradora en la herramienta; mascarilla que selle. "
         "Nunca barrer en seco. Ojos cubiertos."),
        *_confined(design, say), _lifting(design, say),
        ("Calor, frío, rayos", "Vean el pronóstico de hoy.",
         "Agua, sombra y descanso por reloj; los nuevos más despacio. Truenos: fuera de la zanja, lejos de metal y de "
         f"árboles, bajo techo. Confundido o caído por el calor: {_call(say)}, sombra, enfriar con agua."),
    )  # fmt: skip


def _collapse(design: Design, say: Say) -> Row:
    dig, soil = design.build.dig, design.job.ground.osha_type
    deepest = max(dig.trenches, key=lambda item: item.depth_greatest, default=None)
    if deepest is None:
        return ("Derrumbe", "No se excava ninguna zanja.", "Vuelvan a mirar si eso cambia.")
    kind = "roca firme" if soil.value == "stable rock" else soil.value
    here = (
        f"La más honda: {deepest.name}, excavada a {say.dug(deepest.depth_greatest)}. Suelo tipo {kind} "
        f"({BASIS[soil.basis]})."
    )
    guarded = [item.name for item in dig.trenches if item.protection in ("slope or shield", "engineer")]
    letters = [item.name for item in dig.trenches if item.protection == "house-foundation letters"]
    setback = max(item.spoil_setback for item in dig.trenches)
    do = (
        f"Tierra y piedra a {say.length(setback)} del borde o más. Fuera si llueve, se agrieta, se abomba o sale agua, "
        "hasta que la persona competente la vea otra vez."
    )
    if guarded:
        do = " ".join(f"Nadie entra en {_y(names)} si no está {how}." for how, names in _guards(dig).items()) + " " + do
    if letters:
        do = f"{_y(letters)}: solo mientras se cumplan todas las condiciones de las cartas de OSHA de 1995. " + do
    ladders = [item.name for item in dig.trenches if item.ladder]
    if ladders:
        do += f" Escalera en {_y(ladders)}."
    return ("La zanja se derrumba", here, do)


def _guards(dig: DigPlan) -> dict[str, list[str]]:
    """What each guarded trench must be before anyone enters; the trenches by it."""
    found: dict[str, list[str]] = {}
    for item in dig.trenches:
        if item.protection == "engineer":
            how = "protegida según el diseño de un ingeniero"
        elif item.protection != "slope or shield":
            continue
        elif item.slope_fits:
            how = f"con talud de {item.slope_run:g} de ancho por 1 de alto, o con ademe o caja"
        else:
            how = "con ademe o caja: no hay lugar para talud"
        found.setdefault(how, []).append(item.name)
    return found


def _undermining(design: Design, say: Say) -> Row:
    inside = [f"{item.item}, muro {item.wall}" for item in design.build.dig.wedges if item.inside]
    below = [
        f"{item.where.rsplit('.', 1)[-1]} ({item.figure})"
        for item in design.findings
        if item.id == "FTG-02" and item.severity is Severity.FAILS
    ]
    here = "Nada se excava dentro de la cuña de tierra que carga un cimiento."
    if inside:
        here = f"DENTRO de la cuña que carga el cimiento: {', '.join(inside)}."
    if below:
        here += f" Más hondo que el cimiento: {', '.join(dict.fromkeys(below))}."
    opened = [wall.name for wall in design.site.walls if wall.wall.open_and_coat]
    do = (
        "Nunca excavar más abajo del fondo del cimiento (zapata). Si un muro se mueve o se agrieta: todos fuera de la "
        "zanja y de los cuartos de atrás, y llamen al ingeniero."
    )
    if opened:
        panel = design.build.dig.wall_panel
        first = (
            f"Muro: abrirlo en tramos de {say.length(panel)} a lo más: primero los impares, con un tramo sin abrir "
            "entre cada dos; rellenar y apisonar todos los impares antes de abrir un par. "
            if panel > 0
            else f"Poco hondos y sanos: {_y(opened)} se pueden abrir enteros, no más tiempo que el necesario. "
        )
        do = first + do
    return ("La casa se queda sin apoyo", here, do)


def _lines(design: Design) -> Row:
    dig = design.build.dig
    met = list(dict.fromkeys(f"{item.utility} ({KINDS[item.kind]})" for item in dig.crossings))
    here = f"En el camino: {', '.join(met)}." if met else "No hay línea conocida en el camino."
    if dig.unlocated:
        here += f" SIN LOCALIZAR: {', '.join(KINDS[kind] for kind in dig.unlocated)}."
    do = (
        "Número de la solicitud de localización en la obra, contestada, de no más de "
        f"{design.job.rules.ticket_life.value} días hábiles. A mano en los tramos rojos; descubrir antes de cruzar. "
        "Toda línea o tubería está viva hasta que su dueño pruebe que no. Las llaves de cierre están en la "
        "hoja de excavación."
    )
    return ("Líneas enterradas", here, do)


def _electricity(design: Design) -> tuple[Row, ...]:
    if design.system.station is None:
        return (
            (
                "Herramienta eléctrica en lo mojado",
                "No se pone bomba. Aun así hay herramientas y bombas de achique eléctricas.",
                "Protección de falla a tierra en cada extensión, probada hoy. Sin uniones en zanja ni charco. Nadie "
                "pisa agua que un cable pueda tocar hasta que se corte la corriente.",
            ),
        )
    return (
        (
            "Corriente y agua",
            "Bomba en un cárcamo mojado; extensiones junto a suelo mojado.",
            "Protección de falla a tierra en cada extensión, probada hoy. Desconectar la bomba antes de meter mano o "
            "herramienta. Nadie toca agua que un cable pueda tocar hasta que se corte la corriente desde un lugar "
            "seco. El cableado solo lo hace un electricista con licencia.",
        ),
    )


def _fumes(design: Design) -> tuple[Row, ...]:
    coats = [
        COATS[wall.wall.coating.kind]
        for wall in design.site.walls
        if wall.wall.open_and_coat and wall.wall.coating.kind != "none"
    ]
    cement = any(run.pipe.family.startswith(("Schedule", "D2729", "D3034")) for run in design.system.runs)
    if not coats and not cement:
        return ()
    here = _y([*dict.fromkeys(coats), *(["limpiador y cemento de tubería"] if cement else [])])
    return (
        (
            "Vapores, fuego",
            f"{here[:1].upper()}{here[1:]}.",
            "Los vapores bajan y se quedan en la zanja: aire en movimiento, botes tapados, sin llama, sin fumar, "
            "guantes. Mareo o dolor de cabeza: todos fuera ya. Manda la hoja del producto.",
        ),
    )


def _confined(design: Design, say: Say) -> tuple[Row, ...]:
    several = len(design.system.stations) > 1
    return tuple(
        (
            f"Cárcamo {station.name}" if several else "Cárcamo",
            f"{say.deep(station.depth)} de hondo, {say.small(station.inside_diameter)} de ancho.",
            "Espacio confinado: el aire malo no huele. Nadie mete cabeza ni cuerpo, ni para ayudar: se trabaja desde "
            "arriba. Tapado o cercado cuando nadie está junto.",
        )
        for station in design.system.by_house
    )


def _lifting(design: Design, say: Say) -> Row:
    dig, kit = design.build.dig, design.job.equipment
    spoil = barrow_load(kit.barrow, dig.haul_mass / dig.haul_volume) if dig.haul_volume > 0 else kit.barrow
    out, back = barrow_rounds(dig, kit)
    here = f"Con carretilla: {out} viajes de tierra, {back} de piedra. Se llevan {say.mass(dig.haul_mass)} de tierra."
    return (
        "Espaldas, carretillas, remolques",
        here,
        f"Carretillas como se contaron, {say.heap(spoil)} de tierra, nunca copeteadas; rampas. Dos personas por bulto "
        f"o cárcamo. No más de {say.mass(dig.load_mass)} por remolque: manda la carga permitida.",
    )


def _call(say: Say) -> str:
    return "llamen al 911" if say.us else "llamen al número de emergencia"


def emergencies_spanish(say: Say, *, basin: bool) -> tuple[tuple[str, str], ...]:
    """The first minutes of each emergency, in the order of the English sheet."""
    call = _call(say)
    call_ = f"{call[0].upper()}{call[1:]}"
    items = (
        ("Derrumbe de zanja",
         "Todos fuera y lejos del borde. Nadie entra y nadie excava, ni a mano ni con máquina. "
         f"{call_}: digan que es un derrumbe de zanja, cuántos están abajo y qué tan hondo. Motores apagados; gente y "
         "máquinas lejos. Esperen a los rescatistas."),
        ("Gas: olor, silbido, tubo golpeado",
         "Váyanse ya, contra el viento. Sin llama, sin apagador, sin prender ni apagar motor, sin mover válvula, sin "
         f"teléfono hasta estar lejos. Saquen a la gente de la casa. Desde lejos {call}, luego a la compañía de gas. "
         "Nadie regresa hasta que ellos digan."),
        ("Cable golpeado",
         "No toquen la herramienta, la máquina, el cable ni a quien los toque. Todos lejos, a pasos cortos. En una "
         f"máquina: quédese en ella, si no se quema. {call_} y a la compañía de luz. Nadie regresa hasta que digan que "
         "está muerto."),
        ("Descarga, o agua con corriente",
         f"Nadie los toca, ni el agua, hasta saber que no hay corriente. {call_}."),
    )  # fmt: skip
    if not basin:
        return items
    down = (
        f"Nadie entra a ayudar; el aire malo también se lleva al que ayuda. {call_}: digan que es un espacio "
        "confinado. Esperen a los rescatistas."
    )
    return (*items, ("Alguien caído en el cárcamo", down))


__all__ = ["emergencies_spanish", "risk_sheet_spanish", "rows_spanish"]
