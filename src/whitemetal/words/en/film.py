"""What the oil film's calculation says it assumed."""

MESSAGES: dict[str, str] = {
    "grade_midpoint": "ISO VG {grade} is taken at its mid-point, {grade} mm²/s at 40 °C; a delivered oil may be 10 % thicker or thinner.",
    "index_assumed": "A viscosity index of {index} is taken (common practice).",
    "density_assumed": "A density of {density} kg/m³ at 15 °C is taken (common practice).",
    "no_load": "the load on this bearing, for example 18.5 kN: without it there is no film to calculate",
    "no_grade": "the oil's grade, for example ISO VG 46",
    "no_direction": "where the load points: down, left, right or up",
    "housing_from_temperature": "The housing is taken to give off what this film makes at {temperature} with a clearance of {clearance}: {conductance} W/K.",
    "housing_from_size": "The housing is taken to give off {conductance} W/K: {coefficient} W/(m² K) from a surface of {area} m², 20 times length times diameter (from memory). A running temperature on the card would settle it.",
    "ambient_assumed": "The air around the housing is taken at {temperature}.",
    "supply_assumed": "The oil is taken to enter at {temperature}.",
    "feed_left_out": "No feed pressure is known: what leaks by rotation alone carries the heat away, which errs to the hot side.",
    "ring_optimistic": "A full film is optimistic for a bearing oiled by rings: only a small part of the oil lifted reaches the film.",
    "housing_expands": "The shell is taken to grow with a cast-iron housing, the journal with steel.",
    "part_supplied": "The bearing is taken to get {percent} % of the oil that a flooded one would lose at its ends; whirl is not calculated for it.",
    "plain_only": "plain without a groove at the top: a short supply is calculated for that bore only",
    "mass_from_load": "The rotor mass on this bearing is taken from its load; the load here is not a weight, so the whirl threshold is a guess.",
}
