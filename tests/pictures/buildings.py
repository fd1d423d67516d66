"""Buildings to draw: a grid from low to tall, with openings front and rear, rooms near and far, in short and long words."""

from itertools import product

from coordination.pictures.section import (
    FOOT,
    INCH,
    Device,
    Landing,
    MachineRoom,
    Opening,
    Place,
    Plate,
    Rails,
    Section,
    SectionWords,
    Shaft,
    Sump,
    TitleBlock,
)

KINDS = (
    "pit depth", "hoistway depth", "travel", "overhead", "story", "sill", "opening", "lintel", "sill backing",
    "bracket", "rail gauge", "backing", "sump offset", "sump width", "sump depth", "plate width", "room height",
    "room depth", "route height", "route length",
)  # fmt: skip
STATES = ("held", "ready", "at work", "offered", "refused", "accepted", "done", "question open")
SHORT = {kind: kind for kind in KINDS}
LONG = {kind: f"{kind} medida desde el acabado" for kind in KINDS} | {
    "pit depth": "profundidad del foso",
    "overhead": "sobrerrecorrido libre",
}
MATTER = {
    "short": "doors come after rails",
    "long": "cota de piso terminado firmada por el contratista general antes de aceptar la estructura",
}


def feet(length: int) -> str:
    whole, inches = divmod(round(length / INCH), 12)
    return f"{whole}' {inches}\""


def millimetres(length: int) -> str:
    return f"{round(length / 1_000_000)} mm"


def title_block(style: str) -> TitleBlock:
    if style == "short":
        return TitleBlock(
            "Otter Bend rowing club", "Hoistway section", ("next gate", "Ready for rails", "3 things missing"),
            ("visit 1", "Mon 23 March", "8 in 10"), ("governs", "Drawing revision C", "of the lift maker"),
            "Open hoistway: every opening guarded and owned.",
        )  # fmt: skip
    return TitleBlock(
        "Club de remo Recodo de la Nutria, sala superior", "Sección del hueco, primera hoja",
        ("próximo punto de espera", "Listo para la instalación de guías", "faltan tres cosas por entregar"),
        ("visita 1, guías y puertas de piso", "lunes 23 de marzo", "8 de cada 10; confirmar antes del 11 de marzo"),
        ("plano que rige", "Revisión C", "del fabricante; deciden el código local y la autoridad competente"),
        "Hueco abierto: cada abertura con protección y responsable nombrado. «Listo» nunca es permiso para entrar.",
        "Corte de frente a fondo, mirando hacia la pared de guías.",
    )  # fmt: skip


def building(
    floors: tuple[int, ...] = (0, 12 * FOOT),
    *,
    sides: tuple[tuple[str, ...], ...] | None = None,
    pit: int = 14 * INCH,
    overhead: int = 11 * FOOT,
    room: MachineRoom | None = None,
    style: str = "short",
    rail_wall: str = "side",
    links: bool = True,
    **more: object,
) -> Section:
    """A section with every kind of place it can have; states go round through all eight."""
    sides = sides or tuple(("front",) for _ in floors)
    top = floors[-1] + overhead
    landings = tuple(
        Landing(str(i), str(i), floor, tuple(Opening(side, 7 * FOOT) for side in at))
        for i, (floor, at) in enumerate(zip(floors, sides, strict=True), 1)
    )
    places = [("pit", "pit", None), *((f"landing-{x.key}", "landing", x.key) for x in landings)]
    places += [
        ("rail-wall", "rail wall", None),
        ("hoistway", "hoistway", None),
        ("hoistway-top", "hoistway top", None),
    ]
    places += [("machine-room", "machine room", None), ("route", "route", None)] if room else []
    places += [("site", "site", None)]
    named = "Cuarto de instalaciones: " if style == "long" else ""
    return Section(
        words=SectionWords(
            "Hoistway section", "A section.", "frente" if style == "long" else "front",
            "parte posterior" if style == "long" else "rear",
            "ménsula sobre el piso del foso" if style == "long" else "bracket above pit floor",
            millimetres if style == "long" else feet, LONG if style == "long" else SHORT,
        ),
        title_block=title_block(style),
        shaft=Shaft(5 * FOOT, -pit, top, "wood stud", "block"),
        landings=landings,
        rails=Rails(rail_wall, tuple(range(-pit + FOOT, top - 6 * INCH, 66 * INCH)), top - FOOT, jack_top=8 * FOOT),
        places=tuple(
            Place(key, kind, f"{named}{key}", STATES[i % 8], STATES[i % 8], MATTER[style], f"/{key}" if links else None, at)
            for i, (key, kind, at) in enumerate(places)
        ),
        machine_room=room,
        sump=Sump(50 * INCH, 18 * INCH, 12 * INCH),
        plate=Plate(30 * INCH, 36 * INCH),
        devices=(Device("light", "Pit light", "hoistway", 3 * FOOT),),
        **more,
    )  # fmt: skip


FLOORS = {
    "two short": (0, 4 * FOOT),
    "two long": (0, 25 * FOOT),
    "three": (0, 5 * FOOT + 6 * INCH, 15 * FOOT),
    "four": (0, 8 * FOOT, 16 * FOOT, 25 * FOOT),
}
OPENINGS = {
    "front": lambda i: ("front",),
    "rear above": lambda i: ("rear",) if i % 2 else ("front",),
    "through": lambda i: ("front", "rear"),
}
ROOMS = {
    "none": lambda floors: None,
    "beside": lambda floors: MachineRoom(0, 8 * FOOT, 8 * FOOT, 0, 3 * FOOT),
    "beside at the top": lambda floors: MachineRoom(floors[-1], 8 * FOOT, 7 * FOOT, 0, floors[-1] + 2 * FOOT),
    "away": lambda floors: MachineRoom(0, 9 * FOOT, 12 * FOOT, 60 * FOOT, 7 * FOOT),
}


def grid() -> dict[str, Section]:
    """The combinations by name: all in long words, in short words those with a room beside or away."""
    found = {}
    for floors, openings, room, style in product(FLOORS, OPENINGS, ROOMS, ("short", "long")):
        if style == "short" and room not in ("beside", "away"):
            continue
        levels = FLOORS[floors]
        found[f"{floors}, {openings}, {room}, {style}"] = building(
            levels, sides=tuple(OPENINGS[openings](i) for i in range(len(levels))), room=ROOMS[room](levels),
            style=style, pit=(48 if style == "long" else 14) * INCH,
        )  # fmt: skip
    return found
