"""What the calculations and their inputs are called on screens and papers: one table, in the reader's language.

A name leads to its title and what it does; a field's path ("door.width") to its label and what it means. Texts write
{lift} and {hoistway}; ``in_words_of`` puts in the word of the code set.
"""

from collections.abc import Mapping

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _
from django.utils.translation import pgettext_lazy

Words = str | Promise

TITLES: Mapping[str, tuple[Words, Words]] = {
    "brackets": (
        _("Rail brackets"),
        _(
            "Elevations of the brackets from pit, travel and overhead; equal spaces, clear of floors and sills."
        ),
    ),
    "backing": (
        _("Backing and lags"),
        _("Cut list of the vertical backing from stock lengths, and what the lags of a bracket hold."),
    ),
    "hoistway_survey": (
        _("{Hoistway} survey"),
        _(
            "Plumb-line readings: clear size in one vertical frame, best place of the {lift}, which wall must give way."
        ),
    ),
    "machine_room": (
        _("Machine room"),
        _(
            "Working spaces, door swing, headroom, light and path; another placement when the given one fails."
        ),
    ),
    "electrical": (
        _("Motor circuit"),
        _("Full-load amps, conductor, fuse, disconnect, feeder, voltage drop, conduit, battery lowering."),
    ),
    "concrete": (
        _("Concrete strength"),
        _("Strength by age or maturity, the earliest day of loading, bearing under the pit plate."),
    ),
    "alarm": (
        _("Fire alarm and recall"),
        _("Devices by place, distances, which device does what, and the test sheet from it."),
    ),
    "hydraulics": (_("Hydraulic line"), _("Loss, longest route, oil to contain, sleeves of a remote room.")),
    "enclosure": (
        _("Enclosure"),
        _("Rating, boards and layers by face, when each face closes, penetrations, drying."),
    ),
    "accessibility": (_("Accessibility"), _("Car, doors, gaps, heights, and the limits of area and load.")),
    "pit": (_("Pit"), _("Depth, sump and pump, ladder, stop switch, light, receptacles.")),
}

# How far the numbers reach.
LIMITS: Mapping[str, Words] = {
    "brackets": _("Spacing is common practice unless given; the approved drawing overrides."),
    "backing": _("The pull comes from the job’s drawing; a computed resistance plans, the engineer decides."),
    "hoistway_survey": _(
        "Only measured points are known: a wall may bulge between them. The approved drawing governs."
    ),
    "machine_room": _(
        "A planning check on rectangles; local codes, the authorities and the {lift} maker’s layout govern."
    ),
    "electrical": _(
        "Planning values for one motor; the electrician, the maker’s data and the adopted edition govern."
    ),
    "concrete": _("A computed strength plans a date; it clears nothing."),
    "alarm": _(
        "The codes, the authority and the alarm designer govern. A smoke detector never trips the power."
    ),
    "hydraulics": _(
        "Differences in height are pressure, not loss, and are left out. The maker’s line size and limits govern."
    ),
    "enclosure": _("A planning value; the building official’s word and the listing used govern."),
    "accessibility": _("A limit exactly reached is met; where two rules disagree it says so."),
    "pit": _("The adopted edition, the authority and the {lift} maker govern."),
}

CAUTIONS: Mapping[str, tuple[Words, ...]] = {
    "brackets": (
        _("Open {hoistway}: measure from outside the guard, or leave it to the {lift} mechanic in control."),
    ),
    "backing": (_("Nobody works above people in the {hoistway}; every opening stays guarded."),),
    "hoistway_survey": (
        _("Plumb lines are set and read by people authorized to work at the open {hoistway}, tied off."),
        _("Nobody leans in for a reading. Every opening stays guarded while it is measured."),
    ),
    "machine_room": (
        _(
            "Doors of live equipment stay shut: sizes are read from the drawing or the nameplate, not from inside."
        ),
        _("Sources are locked and tagged out by qualified people: main, car light, battery."),
    ),
    "electrical": (
        _("Nameplates and terminals are read with the equipment locked and tagged out, by qualified people."),
    ),
    "concrete": (
        _("A computed strength plans a date; it never clears the loading."),
        _("Cylinder tests, maturity calibrated for this mix, or the engineer’s letter clear it."),
    ),
    "alarm": (
        _("Before any test: the monitoring station is told, the car is empty and watched."),
        _("A test of recall moves the car: nobody is in the pit, on the car or at an open door."),
    ),
    "hydraulics": (
        _(
            "Oil pressure and the weight of the car stay in the line: only the {lift} crew opens it, car landed."
        ),
    ),
    "enclosure": (
        _("Closing the last wall takes the light and the way out: guards and light first."),
        _("Silica, lead and asbestos: survey before old walls are cut."),
    ),
    "accessibility": (
        _(
            "Door gaps are read from the landing with the car landed and locked, by the {lift} crew or with them."
        ),
    ),
    "pit": (
        _(
            "Nobody enters a pit for a reading without the {lift} mechanic: stop pulled, prop set, locked out."
        ),
        _("A pit may be a confined space, wet, or without air: test first."),
    ),
}

FIELDS: Mapping[str, Mapping[str, tuple[Words, Words]]] = {
    "brackets": {
        "pit_depth": (_("Pit depth"), _("Bottom landing’s finished floor to pit floor.")),
        "travel": (_("Travel"), _("Bottom to top landing’s finished floor.")),
        "overhead": (_("Overhead"), _("Top landing’s finished floor to the lowest obstruction above.")),
        "lift_class": (_("Class of {lift}"), _("Class of {lift}, for the usual spacing.")),
        "max_spacing": (
            _("Greatest spacing"),
            _("Greatest spacing; without it the usual spacing of the class."),
        ),
        "first_offset": (
            _("First bracket above the pit floor"),
            _("First bracket above the pit floor (1 ft if not given)."),
        ),
        "last_offset": (
            _("Last bracket below the top"),
            _("Last bracket below the overhead obstruction (1 ft if not given)."),
        ),
        "bracket_height": (_("Bracket height"), _("Height of a bracket, kept clear of zones as a whole.")),
        "keep_clear": (_("Zones to keep clear"), _("Zones where no bracket may sit.")),
        "keep_clear.name": (_("Name"), _('What is there, such as "floor 2 band".')),
        "keep_clear.bottom": (
            _("Lower end"),
            _("Its lower end above the bottom landing’s finished floor (negative below)."),
        ),
        "keep_clear.top": (_("Upper end"), _("Its upper end above the bottom landing’s finished floor.")),
        "landings": (_("Landings"), _("Landings with floor, sill and header zones.")),
        "landings.name": (_("Name"), _("Name of the landing.")),
        "landings.elevation": (
            _("Finished floor"),
            _("Finished floor above the bottom landing’s finished floor."),
        ),
        "landings.floor_depth": (_("Floor band"), _("Floor band below the finished floor.")),
        "landings.sill_depth": (_("Sill zone"), _("Sill zone below the finished floor.")),
        "landings.door_height": (_("Opening height"), _("Opening height, lower end of the header zone.")),
        "landings.header_depth": (_("Header zone"), _("Header zone above the opening.")),
        "drawing_elevations": (
            _("Brackets on the approved drawing"),
            _("Bracket elevations above the pit floor on the approved drawing; they override."),
        ),
        "drawing_revision": (_("Revision of the drawing"), _("Revision of that drawing.")),
    },
    "backing": {
        "code_set": (_("Code set"), _("Code set of the project.")),
        "height": (_("Height"), _("Height of the backing, lower end to upper end.")),
        "material": (_("Section of one ply"), _("Section of one ply.")),
        "plies": (_("Plies"), _("Plies of one built-up backing.")),
        "lines": (_("Lines"), _("Backings of that height (one on each side of the rail: 2 per rail wall).")),
        "stock": (_("Stock lengths"), _("Lengths to be had (8 to 20 ft in steps of 2 ft if not given).")),
        "brackets": (_("Brackets"), _("Bracket heights above the lower end of the backing.")),
        "joint_clearance": (
            _("Joint clearance"),
            _("Least distance of a joint from a bracket (placeholder of practice)."),
        ),
        "stagger": (
            _("Stagger of joints"),
            _("Least distance of joints in neighbouring plies (placeholder of practice)."),
        ),
        "least_piece": (_("Shortest piece"), _("Shortest piece allowed (placeholder of practice).")),
        "kerf": (
            _("Saw cut"),
            _("Width of a saw cut (joints of backing may stand open by it, so 0 if not given)."),
        ),
        "goal": (_("What comes first"), _("What comes first.")),
        "anchorage": (_("Lag screws of a bracket"), _("Lag screws of one bracket.")),
        "anchorage.lag": (_("Diameter of the lag, in"), _("Nominal diameter in inches.")),
        "anchorage.count": (_("Lags per bracket"), _("Lags per bracket.")),
        "anchorage.thread": (_("Thread in the wood"), _("Thread in the backing, tip excluded.")),
        "anchorage.species": (_("Species"), _("Wood of the backing.")),
        "anchorage.plate": (_("Plate of the bracket"), _("Steel of the bracket’s plate.")),
        "anchorage.duration": (_("Load duration"), _("Load duration.")),
        "anchorage.end_grain": (_("End grain"), _("Driven into end grain.")),
        "anchorage.across_grain": (_("Across grain"), _("The sideways load acts across the grain.")),
        "anchorage.pull": (_("Pull"), _("Pull on the bracket, from the drawing.")),
        "anchorage.shear": (_("Sideways load"), _("Sideways load on the bracket, from the drawing.")),
    },
    "hoistway_survey": {
        "stage": (_("When it was measured"), _("When it was measured.")),
        "lines": (_("Plumb lines"), _("Plumb lines.")),
        "lines.name": (_("Name"), _("Name of the line.")),
        "lines.x": (_("To the right"), _("To the right of any fixed point.")),
        "lines.y": (_("To the rear"), _("To the rear of that point.")),
        "readings": (_("Readings"), _("Readings.")),
        "readings.level": (_("Level"), _('Level, such as "pit", "landing 1", "mid 1-2".')),
        "readings.line": (_("Line"), _("Name of the plumb line.")),
        "readings.wall": (_("Wall"), _("Wall measured to.")),
        "readings.distance": (_("Distance"), _("From the line to the wall.")),
        "diagonals": (_("Diagonals"), _("Diagonals per level.")),
        "diagonals.level": (_("Level"), _("Level.")),
        "diagonals.one": (_("One diagonal"), _("One diagonal.")),
        "diagonals.other": (_("Other diagonal"), _("The other diagonal.")),
        "envelope_width": (_("Clear width needed"), _("Clear width the {lift} needs, from the drawing.")),
        "envelope_depth": (_("Clear depth needed"), _("Clear depth the {lift} needs, from the drawing.")),
        "clearance": (
            _("Clearance beyond the envelope"),
            _("Clearance wanted beyond the envelope, per wall."),
        ),
        "clearance.left": (_("Left"), _("Left wall.")),
        "clearance.right": (_("Right"), _("Right wall.")),
        "clearance.front": (_("Front"), _("Front wall.")),
        "clearance.rear": (_("Rear"), _("Rear wall.")),
        "board_to_come": (_("Board still to come"), _("Thickness still to be put on each wall.")),
        "board_to_come.left": (_("Left"), _("Left wall.")),
        "board_to_come.right": (_("Right"), _("Right wall.")),
        "board_to_come.front": (_("Front"), _("Front wall.")),
        "board_to_come.rear": (_("Rear"), _("Rear wall.")),
        "walls_that_can_move": (_("Walls that could be mended"), _("Walls that could be mended.")),
        "turn_limit": (_("Greatest turn"), _("Greatest turn of the envelope either way.")),
        "plumb_limit": (
            _("Plumb limit"),
            _("Greatest plumb error, top to bottom (1/2 in by a maker’s note if not given)."),
        ),
        "square_limit": (_("Limit on diagonals"), _("Greatest difference of diagonals, from the drawing.")),
    },
    "machine_room": {
        "code_set": (_("Code set"), _("Code set of the project.")),
        "room_width": (_("Room, west to east"), _("Clear inside, west to east.")),
        "room_depth": (_("Room, south to north"), _("Clear inside, south to north.")),
        "door": (_("Door"), _("The room’s door.")),
        "door.wall": (_("Wall"), _("Wall it is in.")),
        "door.offset": (_("From the corner"), _("From the west or south end of that wall to the opening.")),
        "door.width": (_("Width"), _("Width of the leaf and opening.")),
        "door.hinge": (_("Hinge"), _("End of the opening with the hinge: low is west or south.")),
        "door.swings": (_("Swings"), _("Into the room or out of it.")),
        "equipment": (_("Equipment"), _("What stands in the room.")),
        "equipment.name": (_("Name"), _("Name on the plan.")),
        "equipment.kind": (_("Kind"), _("Controller, disconnect and panel need working space.")),
        "equipment.width": (_("Width"), _("Along its front.")),
        "equipment.depth": (_("Depth"), _("From back to front.")),
        "equipment.height": (_("Height"), _("Top above the floor.")),
        "equipment.faces": (_("Front looks"), _("Direction its front looks.")),
        "equipment.x": (_("From the west wall"), _("West end, from the west wall.")),
        "equipment.y": (_("From the south wall"), _("South end, from the south wall.")),
        "equipment.volts_to_ground": (
            _("Volts to ground"),
            _("Its highest voltage to ground; else taken from the supply."),
        ),
        "equipment.opposite": (
            _("Opposite"),
            _(
                "What is across its working space: nothing, grounded parts or live parts; else found from the plan."
            ),
        ),
        "equipment.cabinet_door": (
            _("Cabinet door"),
            _("Width of its cabinet door leaf, which must open 90 degrees."),
        ),
        "equipment.stays": (_("Stays where it is"), _("May not be moved by a proposal.")),
        "line_volts": (_("Supply, volts between lines"), _("Supply voltage between lines.")),
        "grounding": (_("Grounding of the supply"), _("How the supply is grounded.")),
        "grounded_walls": (
            _("Walls that count as grounded"),
            _("Walls of concrete, brick or tile, which count as grounded (empty list: none)."),
        ),
        "headroom": (_("Headroom"), _("Clear height.")),
        "light": (_("Light at the floor"), _("Light at the floor.")),
        "foreign_items": (
            _("Things that do not belong"),
            _("Pipes, ducts, storage or wiring that do not serve the {lift} (empty list: none seen)."),
        ),
        "door_self_closing": (_("Door closes by itself"), _("The door closes by itself.")),
        "door_self_locking": (
            _("Door locks by itself"),
            _("The door locks by itself and needs a key from outside."),
        ),
        "door_opens_inside": (_("Door opens from inside"), _("The door opens from inside without a key.")),
        "receptacle_gfci": (
            _("Receptacle with GFCI"),
            _("A 125 V duplex receptacle with GFCI protection is there."),
        ),
        "light_switch_at_entry": (
            _("Light switch at the entry"),
            _("The light switch is at the point of entry."),
        ),
        "extinguisher": (_("Extinguisher"), _("A class ABC extinguisher in date hangs near the door.")),
    },
    "electrical": {
        "code_set": (_("Code set"), _("Code set of the project.")),
        "phases": (_("Phases"), _("1 or 3 phases.")),
        "volts": (_("Volts between lines"), _("Supply voltage between lines.")),
        "horsepower": (_("Motor power"), _("Rated power of the motor.")),
        "nameplate_amps": (_("Nameplate amps"), _("Full-load amps on the nameplate.")),
        "service_factor": (_("Service factor"), _("Service factor on the nameplate.")),
        "rise_40_c": (_("Rise not over 40 °C"), _("Nameplate temperature rise not over 40 degree C.")),
        "duty": (_("Duty"), _("Duty the circuit is sized for.")),
        "protection": (_("Protection"), _("Branch-circuit short-circuit protection.")),
        "terminals": (_("Terminals"), _("Terminal rating; unmarked terminals count as 60 C up to 100 A.")),
        "conductor": (
            _("Conductor that is run"),
            _("AWG size that is run, instead of the least that carries the amps."),
        ),
        "one_way_length": (_("Length of the run"), _("One-way length of the run.")),
        "allowed_drop": (_("Allowed voltage drop"), _("Voltage drop taken as allowed, in percent.")),
        "nipple": (_("Conduit is a nipple"), _("The conduit is a nipple of not over 24 in.")),
        "other_wires": (_("Other wires"), _("Further conductors in the conduit.")),
        "other_wires.size": (_("Size"), _("AWG size.")),
        "other_wires.count": (_("Count"), _("How many.")),
        "other_motors": (_("Other motors"), _("Other motors on the feeder.")),
        "other_motors.name": (_("Name"), _("What it drives.")),
        "other_motors.amps": (_("Amps"), _("Its full-load amps by the table.")),
        "battery_lowering": (_("Battery lowering"), _("The {lift} lowers on a battery when the mains fail.")),
        "auxiliary_contact": (
            _("Auxiliary contact"),
            _("The main disconnect has an auxiliary contact that opens with it."),
        ),
        "third_fused_pole": (
            _("Third fused pole"),
            _("Single phase: a third fused pole of the disconnect breaks the battery circuit."),
        ),
    },
    "concrete": {
        "code_set": (_("Code set"), _("Code set of the project.")),
        "cement": (_("Cement"), _("Cement.")),
        "cure": (_("Cure"), _("Cure.")),
        "design_strength": (_("28-day strength"), _("Specified 28-day strength.")),
        "needed_fraction": (
            _("Share needed for loading"),
            _(
                "Share of the design strength needed for loading, in percent (75 is a placeholder of practice)."
            ),
        ),
        "age": (_("Age"), _("Age to tell the strength at, with its unit: 7 d or 168 h.")),
        "pour_date": (_("Pour date"), _("Day of the pour.")),
        "method": (_("How temperature is counted"), _("How temperature is counted.")),
        "history": (_("Temperatures since the pour"), _("Temperature from the pour on, in order.")),
        "history.hours": (_("For"), _("How long.")),
        "history.temperature": (_("Temperature"), _("Mean temperature of the concrete in it.")),
        "expected_temperature": (_("Temperature after that"), _("Temperature taken after the history.")),
        "datum": (
            _("Datum temperature"),
            _("Nurse-Saul: datum temperature (0 C and -10 C are both in use: say which)."),
        ),
        "reference": (
            _("Reference temperature"),
            _("Temperature the strength curve belongs to (20 C and 23 C are both in use: say which)."),
        ),
        "activation_kelvin": (_("Q, in kelvin"), _("Equivalent age: Q = E/R in kelvin, about 5000.")),
        "activation_energy": (_("Activation energy"), _("Equivalent age: activation energy instead of Q.")),
        "plate": (_("Plate on the slab"), _("Plate for the bearing check.")),
        "plate.width": (_("Width"), _("One side of the plate.")),
        "plate.depth": (_("Depth"), _("Other side of the plate.")),
        "plate.edge_at_width": (
            _("Edge beyond the width"),
            _("From the plate to the nearest slab edge, in the direction of its width."),
        ),
        "plate.edge_at_depth": (
            _("Edge beyond the depth"),
            _("From the plate to the nearest slab edge, in the direction of its depth."),
        ),
        "plate.slab_thickness": (_("Slab thickness"), _("Thickness of the slab.")),
        "plate.load": (_("Factored load"), _("Factored load on the plate, from the job’s drawing.")),
    },
    "alarm": {
        "code_set": (_("Code set"), _("Code set of the project.")),
        "lift_class": (_("Class of {lift}"), _("Class of {lift}.")),
        "landings": (_("Landings, from the bottom up"), _("Names of the landings from the bottom up.")),
        "designated": (_("Designated landing"), _("Designated landing of recall.")),
        "alternate": (_("Alternate landing"), _("Alternate landing of recall.")),
        "machine_room_landing": (
            _("Landing of the machine room"),
            _("Landing on whose floor the machine room is."),
        ),
        "machinery_in_hoistway": (_("Machinery in the {hoistway}"), _("Machinery stands in the {hoistway}.")),
        "hydraulic": (_("Hydraulic drive"), _("The drive is hydraulic.")),
        "panel": (_("Fire alarm panel"), _("The building has a fire alarm panel.")),
        "sprinklers": (
            _("Sprinkler heads"),
            _("Heads in {hoistway}, pit and machine room (empty list: none)."),
        ),
        "sprinklers.name": (_("Name"), _("Name of the head.")),
        "sprinklers.place": (_("Place"), _("Where it is.")),
        "sprinklers.height": (_("Height"), _("Above the floor of its place.")),
        "sprinklers.heat_detector_distance": (_("To its heat detector"), _("To its heat detector.")),
        "lobby_detectors": (_("Lobby detectors, as measured"), _("Measured lobby detectors.")),
        "lobby_detectors.landing": (_("Landing"), _("Name of the landing.")),
        "lobby_detectors.distance": (
            _("Distance"),
            _("To the centreline of the farthest {lift} door it serves."),
        ),
        "relay_distance": (_("Relays to the controller"), _("Interface relays to the controller.")),
    },
    "hydraulics": {
        "grade": (_("Oil grade"), _("ISO viscosity grade.")),
        "oil_temperature": (_("Oil temperature"), _("Temperature of the oil.")),
        "viscosity": (
            _("Viscosity of the oil"),
            _("Kinematic viscosity at the working temperature, instead of the grade."),
        ),
        "dynamic_viscosity": (_("Dynamic viscosity"), _("Dynamic viscosity, instead of the grade.")),
        "density": (_("Density"), _("Density of the oil (870 kg/m3 is usual, from memory).")),
        "flow": (_("Flow"), _("Flow of the pump.")),
        "bore": (_("Inside diameter of the line"), _("Inside diameter of the line.")),
        "line_outside": (
            _("Outside diameter of the line"),
            _("Outside diameter of the line or its protection, for sleeves."),
        ),
        "length": (_("Length of the line"), _("Length of the line, when no route is given.")),
        "route": (_("Route"), _("The route in stretches.")),
        "route.name": (_("Name"), _("Where it runs.")),
        "route.length": (_("Length"), _("Its length.")),
        "route.through": (_("Ends at"), _("What it passes at its end, which gets a sleeve.")),
        "route.control_conduit": (
            _("Conduit beside it"),
            _("Outside diameter of a control conduit beside it."),
        ),
        "fittings_length": (_("Bends and fittings"), _("Equivalent length of bends and fittings.")),
        "allowed_loss": (_("Allowed loss"), _("Loss the maker allows in the line.")),
        "tank_volume": (_("Oil in the tank"), _("Oil in the tank.")),
        "jack_volume": (_("Oil in the jack"), _("Oil in the jack.")),
        "containment_share": (_("Share to contain"), _("Share of the oil that must be contained.")),
        "containment_volume": (_("What is held back"), _("What sill, tray or pit holds.")),
        "sleeve_clearance": (_("Room in a sleeve"), _("Clear space around the line inside a sleeve.")),
    },
    "enclosure": {
        "code_set": (_("Code set"), _("Code set of the project.")),
        "storeys": (_("{Stories} connected"), _("{Stories} connected, basements counted.")),
        "floor_ratings": (
            _("Ratings of the floors"),
            _("Ratings of the floors penetrated (empty list: none rated)."),
        ),
        "authority_rating": (
            _("Rating named by the authority"),
            _("Rating the authority has named, which overrides."),
        ),
        "faces": (_("Faces that get board"), _("Faces that get board.")),
        "faces.name": (_("Name"), _('Which face, such as "rail wall, {hoistway} side".')),
        "faces.width": (_("Width"), _("Its width.")),
        "faces.height": (_("Height"), _("Its height.")),
        "faces.landing_wall": (_("{Landing_door} wall"), _("{Landing_door}s are in this wall.")),
        "faces.layers": (_("Layers"), _("Layers of board; by the rating if not given.")),
        "faces.openings": (_("Openings"), _("Openings in it.")),
        "faces.openings.name": (_("Name"), _("What it is.")),
        "faces.openings.width": (_("Width"), _("Its width.")),
        "faces.openings.height": (_("Height"), _("Its height.")),
        "faces.openings.x": (_("From the left end"), _("Its left end from the left end of the face.")),
        "faces.openings.y": (_("Above the lower end"), _("Its lower end above the lower end of the face.")),
        "board_width": (_("Board width"), _("Width of a board.")),
        "board_length": (_("Board length"), _("Length of a board, hung upright.")),
        "spare": (_("Spare boards"), _("Boards to add for waste.")),
        "firestops": (_("Penetrations and rated joints"), _("Penetrations and rated joints.")),
        "firestops.name": (_("Name"), _("What passes, or which joint.")),
        "firestops.kind": (_("Kind"), _("Penetration or kind of joint.")),
        "firestops.serves_lift": (_("Serves the {lift}"), _("Penetration: it serves the {lift}.")),
        "firestops.listing": (_("Listing"), _("Number of the listed system.")),
        "firestops.rating": (_("F-rating"), _("Its F-rating.")),
        "firestops.seen_before_cover": (_("Seen before cover"), _("It was seen before anything covered it.")),
        "board_inspected_before_tape": (
            _("Board inspected before tape"),
            _("The board was inspected before joints and fasteners were taped."),
        ),
        "humidity": (_("Relative humidity"), _("Relative humidity where compound dries.")),
        "temperature": (_("Temperature"), _("Temperature there.")),
        "hours_warm_before": (_("Warm for"), _("How long it has been at least 50 F there.")),
    },
    "accessibility": {
        "code_set": (_("Code set"), _("Code set of the project.")),
        "lift_class": (_("Class of {lift}"), _("Class of {lift}.")),
        "existing": (_("Existing car"), _("An existing car is altered.")),
        "door_side": (_("Side of the car door"), _("Side of the car with the door.")),
        "car_width": (_("Car width"), _("Clear inside width, along the door side.")),
        "car_depth": (_("Car depth"), _("Clear inside depth, away from the door.")),
        "door_clear_width": (_("Door clear width"), _("Clear width of the car door opening.")),
        "rated_load": (_("Rated load"), _("Rated load.")),
        "rise": (_("Travel"), _("Travel.")),
        "landing_doors": (_("{Landing_door}s"), _("Kind of {landing_door}s.")),
        "power_operated": (_("Power operated"), _("{Landing_door}s are power operated.")),
        "stays_open": (_("Stays open for"), _("Time a power-operated swing door stays open.")),
        "reopening_device": (_("Reopening device"), _("Sliding doors have a reopening device.")),
        "sill_gap": (_("Gap at the sill"), _("Car platform to landing sill.")),
        "levelling": (_("Stopping difference"), _("Greatest stopping difference, rated to zero load.")),
        "hall_button_height": (
            _("Call button, height"),
            _("Centreline of the landing call button above the floor."),
        ),
        "hall_button_size": (_("Call button, size"), _("Smallest dimension of the landing call button.")),
        "emergency_controls_height": (
            _("Emergency controls, height"),
            _("Centreline of the emergency controls above the car floor."),
        ),
        "car_light": (_("Light in the car"), _("Illumination at car controls, platform and sill.")),
        "panel_to_wall": (_("Car panel to wall"), _("Residence {lift}: car panel to the adjacent wall.")),
        "jamb_sign_base": (
            _("Jamb sign, base line"),
            _("Base line of the raised jamb characters above the floor."),
        ),
        "landings": (_("Readings per landing"), _("Readings per landing of a residence {lift}.")),
        "landings.name": (_("Name"), _("Name of the landing.")),
        "landings.door_face_to_sill": (
            _("Door face to sill"),
            _("{Landing_door}'s {hoistway} face to the edge of the landing sill."),
        ),
        "landings.sphere_rejected": (
            _("4 in sphere held back"),
            _("A 4 in sphere pushed with 75 lbf does not pass between {landing_door} and car door."),
        ),
        "landings.door_setback": (
            _("Door behind the framing"),
            _("Door’s {hoistway} face behind the framing’s {hoistway} face (negative: in front)."),
        ),
    },
    "pit": {
        "code_set": (_("Code set"), _("Code set of the project.")),
        "lift_class": (_("Class of {lift}"), _("Class of {lift}.")),
        "electrical_edition": (_("Edition of the NEC"), _("Adopted edition of the NEC.")),
        "lift_edition": (_("Edition of ASME A17.1"), _("Adopted edition of ASME A17.1.")),
        "depth": (_("Pit depth"), _("Lowest finished sill to pit floor.")),
        "hydraulic": (_("Hydraulic drive"), _("The drive is hydraulic.")),
        "occupied_below": (_("Occupied space below"), _("Occupied space lies below the pit.")),
        "firefighters_operation": (
            _("Firefighters’ operation"),
            _("Firefighters' emergency operation is provided."),
        ),
        "phase_one_only": (_("Recall (Phase I) only"), _("It is recall (Phase I) only.")),
        "lifts": (_("{Lifts} in the pit"), _("{Lift}s in the pit.")),
        "sump": (_("Sump and pump"), _("Sump recess and pump.")),
        "sump.length": (_("Length"), _("Inside length.")),
        "sump.width": (_("Width"), _("Inside width.")),
        "sump.usable_depth": (_("Usable depth"), _("Depth between stop and start level.")),
        "sump.pump_flow": (_("Pump flow"), _("What the pump delivers at its head.")),
        "sump.inflow": (_("Inflow"), _("Water coming in.")),
        "sump.cover_flush": (_("Cover flush"), _("Its cover is flush with the pit floor.")),
        "sump.indirect_drain": (
            _("Drains indirectly"),
            _("It drains indirectly, never straight to a sewer."),
        ),
        "sump.outlet": (_("Pump connection"), _("How the pump is connected.")),
        "sump.outlet_gfci": (_("Outlet with GFCI"), _("Its outlet has GFCI protection.")),
        "ladder": (_("Pit ladder"), _("Pit ladder (leave out when there is none).")),
        "ladder.above_sill": (_("Handholds above the sill"), _("Handholds above the sill.")),
        "ladder.rung_width": (_("Rung width"), _("Clear width of the rungs.")),
        "ladder.rung_pitch": (_("Rung to rung"), _("Distance from rung to rung.")),
        "ladder.behind": (_("Clear behind the rungs"), _("Clear space behind the rungs.")),
        "ladder.stops_lift": (_("Stops the {lift}"), _("An electrical device on it stops the {lift}.")),
        "ladder.obstructed": (_("Obstructed behind"), _("Unavoidable obstructions are behind it.")),
        "stop_switches": (_("Stop switches"), _("Stop switches in the pit.")),
        "stop_switch_height": (_("Upper stop switch"), _("Upper stop switch above the lowest landing.")),
        "light": (_("Light at the pit floor"), _("Light at the pit floor.")),
        "duplex_receptacles": (_("Duplex receptacles"), _("Duplex 125 V receptacles in the pit.")),
        "receptacle_gfci": (_("Receptacles with GFCI"), _("They have GFCI protection at the pit.")),
        "sprinkler": (_("Sprinkler head"), _("A sprinkler head is in the pit.")),
        "sprinkler_height": (_("Height of the head"), _("That head above the pit floor.")),
        "oil_alarm_or_separator": (
            _("Oil alarm or separator"),
            _("An oil separator or oil-sensing alarm is there."),
        ),
    },
}

# Choices that are words. Sizes, grades and editions stand as they are.
CHOICES: Mapping[str, Words] = {
    "limited use": pgettext_lazy("calculation", "limited use"),
    "enclosed platform": _("enclosed platform"),
    "private residence": pgettext_lazy("calculation", "private residence"),
    "14 gauge": pgettext_lazy("calculation", "14 gauge"),
    "11 gauge": pgettext_lazy("calculation", "11 gauge"),
    "least waste": pgettext_lazy("calculation", "least waste"),
    "fewest pieces": pgettext_lazy("calculation", "fewest pieces"),
    "southern pine": pgettext_lazy("calculation", "southern pine"),
    "douglas fir-larch": pgettext_lazy("calculation", "Douglas fir-larch"),
    "hem-fir": pgettext_lazy("calculation", "hem-fir"),
    "spruce-pine-fir": pgettext_lazy("calculation", "spruce-pine-fir"),
    "spruce-pine-fir south": pgettext_lazy("calculation", "spruce-pine-fir (south)"),
    "permanent": pgettext_lazy("calculation", "permanent"),
    "normal": pgettext_lazy("calculation", "normal (ten years)"),
    "construction": pgettext_lazy("calculation", "construction"),
    "wind or seismic": pgettext_lazy("calculation", "wind or earthquake"),
    "open framing": pgettext_lazy("calculation", "open framing"),
    "after board": pgettext_lazy("calculation", "after board"),
    "left": pgettext_lazy("calculation", "left"),
    "right": pgettext_lazy("calculation", "right"),
    "front": pgettext_lazy("calculation", "front"),
    "rear": pgettext_lazy("calculation", "rear"),
    "north": pgettext_lazy("calculation", "north"),
    "east": pgettext_lazy("calculation", "east"),
    "south": pgettext_lazy("calculation", "south"),
    "west": pgettext_lazy("calculation", "west"),
    "low": pgettext_lazy("calculation", "west or south end"),
    "high": pgettext_lazy("calculation", "east or north end"),
    "in": pgettext_lazy("calculation", "into the room"),
    "out": pgettext_lazy("calculation", "out of the room"),
    "controller": pgettext_lazy("calculation", "controller"),
    "disconnect": pgettext_lazy("calculation", "disconnect"),
    "panel": pgettext_lazy("calculation", "panel"),
    "power unit": pgettext_lazy("calculation", "power unit"),
    "other": pgettext_lazy("calculation", "other"),
    "nothing": pgettext_lazy("calculation", "nothing"),
    "grounded": pgettext_lazy("calculation", "grounded parts"),
    "live": pgettext_lazy("calculation", "live parts"),
    "grounded wye": pgettext_lazy("calculation", "grounded wye"),
    "grounded centre tap": pgettext_lazy("calculation", "grounded center tap"),
    "grounded two wire": pgettext_lazy("calculation", "grounded, two wires"),
    "high leg delta": pgettext_lazy("calculation", "delta with a high leg"),
    "corner grounded delta": pgettext_lazy("calculation", "corner-grounded delta"),
    "ungrounded": pgettext_lazy("calculation", "ungrounded"),
    "continuous": pgettext_lazy("calculation", "continuous"),
    "5 minute": pgettext_lazy("calculation", "5 minutes"),
    "15 minute": pgettext_lazy("calculation", "15 minutes"),
    "30 or 60 minute": pgettext_lazy("calculation", "30 or 60 minutes"),
    "intermittent with continuous rating": pgettext_lazy("calculation", "intermittent, rated continuous"),
    "dual-element fuse": pgettext_lazy("calculation", "dual-element fuse"),
    "non-time-delay fuse": pgettext_lazy("calculation", "fuse without time delay"),
    "inverse-time breaker": pgettext_lazy("calculation", "inverse-time breaker"),
    "instantaneous breaker": pgettext_lazy("calculation", "instantaneous breaker"),
    "unmarked": pgettext_lazy("calculation", "unmarked"),
    "type I": pgettext_lazy("calculation", "type I"),
    "type III": pgettext_lazy("calculation", "type III"),
    "moist": pgettext_lazy("calculation", "moist"),
    "steam": pgettext_lazy("calculation", "steam"),
    "age": pgettext_lazy("calculation", "by age alone"),
    "Nurse-Saul": pgettext_lazy("calculation", "maturity by Nurse–Saul"),
    "equivalent age": pgettext_lazy("calculation", "equivalent age"),
    "hoistway top": pgettext_lazy("calculation", "{hoistway} top"),
    "pit": pgettext_lazy("calculation", "pit"),
    "machine room": pgettext_lazy("calculation", "machine room"),
    "open": pgettext_lazy("calculation", "in the open"),
    "wall": pgettext_lazy("calculation", "a wall"),
    "rated wall": pgettext_lazy("calculation", "a rated wall"),
    "floor": pgettext_lazy("calculation", "a floor"),
    "underground": pgettext_lazy("calculation", "underground"),
    "penetration": pgettext_lazy("calculation", "penetration"),
    "head of wall": pgettext_lazy("calculation", "head of wall"),
    "floor line": pgettext_lazy("calculation", "floor line"),
    "door-frame annulus": pgettext_lazy("calculation", "gap round the door frame"),
    "narrow end": pgettext_lazy("calculation", "narrow end"),
    "long side": pgettext_lazy("calculation", "long side"),
    "swing": pgettext_lazy("calculation", "swing"),
    "sliding": pgettext_lazy("calculation", "sliding"),
    "hard-wired": pgettext_lazy("calculation", "hard-wired"),
    "single receptacle": pgettext_lazy("calculation", "single receptacle"),
    "duplex receptacle": pgettext_lazy("calculation", "duplex receptacle"),
}
