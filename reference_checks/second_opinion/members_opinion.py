"""A second opinion on plywood and lumber: plain floats, one adjusted value and one span at a time.

Inches, lb, psi; line loads in lb/ft. Every function returns demand over capacity. Written from
published texts, without looking at `formpressure`.

Labels as in `opinion.py`. Short names of the sources:
- Florida: D. Allen, temporary-structures lectures, University of Florida, weeks 4 to 7.
- Peurifoy: R. Peurifoy and G. Oberlender, Formwork for Concrete Structures, 4th ed.
- NDS: National Design Specification for Wood Construction and its Supplement, 2018. The tables of
  the Supplement (pp. 34-37) are QUOTED from the data of a public finite-element library, where no
  other source is named.
"""

# ---------------------------------------------------------------- lumber

# Dressed sizes: 2x4 READ, Peurifoy p. 139; the others MEMORY (the usual dressed sizes).
SIZES = {"2x4": (1.5, 3.5), "2x6": (1.5, 5.5), "2x8": (1.5, 7.25), "4x4": (3.5, 3.5)}
FIR, HEM, SPRUCE, PINE = "Douglas Fir-Larch", "Hem-Fir", "Spruce-Pine-Fir", "Southern Pine"
NAMES = ("Fb", "Ft", "Fv", "Fcp", "Fc", "E", "Emin")
# NDS Supplement Tables 4A, 4B. Douglas Fir-Larch No.2: READ, Florida; Southern Pine Fb and all of
# its 2x6: READ, Florida (Ft of the 2x4: MEMORY of the rounding); its 2x8 MEMORY; the rest QUOTED.
# A Southern Pine 4x4 stands in the row of the 2x4: 2 to 4 in. thick and wide (MEMORY).
VALUES = {
    (FIR, "No.2"): (900, 575, 180, 625, 1350, 1.6e6, 580e3),
    (FIR, "Stud"): (700, 450, 180, 625, 850, 1.4e6, 510e3),
    (HEM, "No.2"): (850, 525, 150, 405, 1300, 1.3e6, 470e3),
    (SPRUCE, "No.2"): (875, 450, 135, 425, 1150, 1.4e6, 510e3),
    (PINE, "2x4"): (1100, 675, 175, 565, 1450, 1.4e6, 510e3),
    (PINE, "4x4"): (1100, 675, 175, 565, 1450, 1.4e6, 510e3),
    (PINE, "2x6"): (1000, 600, 175, 565, 1400, 1.4e6, 510e3),
    (PINE, "2x8"): (925, 550, 175, 565, 1350, 1.4e6, 510e3),
}
ACROSS = {FIR: 625, HEM: 405, SPRUCE: 425, PINE: 565}  # Fcp of each species, as above
WET_ACROSS = 0.67  # CM on Fcp, which no load duration factor touches. READ, Peurifoy p. 49, p. 137
SIZE_BENDING = {3.5: 1.5, 5.5: 1.3, 7.25: 1.2}  # CF on Fb and Ft. READ, Peurifoy Table 4-3a
SIZE_AXIAL = {3.5: 1.15, 5.5: 1.1, 7.25: 1.05}  # CF on Fc. READ, the same table
FLAT = {3.5: 1.1, 5.5: 1.15, 7.25: 1.15}  # Cfu, 2 in. thick. QUOTED, NDS; 2x8 READ, Florida


def adjusted(size, species, grade, CD, flat=False, repetitive=False):
    """Allowable values of wet lumber, psi; None where no source gives the values of this piece.

    CM READ, Peurifoy p. 49: Fb 0.85, but 1.0 if Fb CF <= 1150; Fv 0.97; Fc 0.8, but 1.0 if
    Fc CF <= 750; E and Emin 0.9 (READ, Florida). CD on Fb, Ft, Fv, Fc only (READ, Peurifoy p. 137).
    Cr 1.15 (READ, Florida).
    """
    d = SIZES[size][1]
    key = (PINE, size) if species == PINE and grade == "No.2" else (species, grade)
    if key not in VALUES or (grade == "Stud" and size == "2x8"):
        return None
    v = dict(zip(NAMES, VALUES[key], strict=True))
    bending, axial = SIZE_BENDING[d], SIZE_AXIAL[d]
    if species == PINE:  # the table holds the size already. READ, Peurifoy p. 46
        bending = axial = 1.0
    elif grade == "Stud":  # to 4 in. QUOTED, NDS; 1.0 at 6 in. MEMORY
        bending, axial = (1.1, 1.05) if d < 4 else (1.0, 1.0)
    Fb, Fc = v["Fb"] * bending, v["Fc"] * axial
    use = FLAT[d] if flat and size != "4x4" else 1.0
    return {
        "Fb": Fb * CD * (1.0 if Fb <= 1150 else 0.85) * use * (1.15 if repetitive else 1.0),
        "Ft": v["Ft"] * CD * bending,
        "Fv": v["Fv"] * CD * 0.97,
        "Fc*": Fc * CD * (1.0 if Fc <= 750 else 0.8),
        "E": v["E"] * 0.9,
        "Emin": v["Emin"] * 0.9,
    }


def section(size, doubled=False, flat=False):
    """(breadth, depth, S, I) of one member, or two side by side, against the load. Statics."""
    b, d = SIZES[size]
    if flat:
        b, d = d, b
    b *= 2 if doubled else 1
    return b, d, b * d**2 / 6, b * d**3 / 12


def column(size, length, values):
    """Allowable axial load, lb, on the weak axis; 0 beyond le/d 50. NDS 3.7, READ, Florida week 4;
    c = 0.8 for sawn lumber."""
    b, d = SIZES[size]
    slender = length / min(b, d)
    if slender > 50 * (1 + 1e-12):
        return 0.0
    r = 0.822 * values["Emin"] / slender**2 / values["Fc*"]
    half = (1 + r) / 1.6
    return values["Fc*"] * (half - (half**2 - r / 0.8) ** 0.5) * b * d


# ---------------------------------------------------------------- spans

# By number of equal spans: moment w l2 / n (w lb/ft, l in., in-lb), READ, Florida, Peurifoy p. 117
# (3 or more), MEMORY (1, 2; statics agrees); deflection w l4 / (n E I), READ, Peurifoy (1, 3 or
# more), MEMORY (2); end shear as a share of w l, statics (1, 2), for 3 or more READ: 0.6 in
# Florida and for plywood, 5/8 in Peurifoy for lumber, the larger of two published.
MOMENT = {1: 96, 2: 96, 3: 120}
SAG = {1: 4608 / 5, 2: 2220, 3: 1743}
SHEAR = {1: 0.5, 2: 0.625, 3: 0.625}
SHEAR_PLYWOOD = {1: 0.5, 2: 0.625, 3: 0.6}


def coefficients(spans, shear, at_most=3):
    """Moment, shear, deflection; the number of spans unknown: each at its worst (OWN). There are
    no more spans than gaps between supports."""
    most = min(3, at_most)
    cases = range(1, most + 1) if spans is None else (min(spans, most),)
    return (
        min(MOMENT[n] for n in cases),
        max(shear[n] for n in cases),
        min(SAG[n] for n in cases),
    )


def sag_limit(length):
    """l/360 and 1/16 in. READ, Florida, Peurifoy."""
    return min(length / 360, 1 / 16)


def beam(w, length, values, shape, spans, gaps):
    """{part: ratio} of a uniformly loaded member over equal spans of `length` in.

    Shear without the load within d of a support (NDS 3.4.3; READ, Florida, as + 2 d on the span).
    """
    b, d, S, I = shape  # noqa: E741
    moment, shear, sag = coefficients(spans, SHEAR, gaps)
    return {
        "bending": w * length**2 / moment / S / values["Fb"],
        "shear": shear * w * max(length - 2 * d, 0) / 12 / (values["Fv"] * b * d * 2 / 3),
        "deflection": w * length**4 / (sag * values["E"] * I) / sag_limit(length),
    }


def cantilever(force, moment, values, shape):
    """{part: ratio}: force lb past the last support, its moment in-lb. Statics; the whole force is
    shear, what lies within d of the support too (OWN)."""
    b, d, S, _ = shape
    return {
        "cantilever bending": moment / S / values["Fb"],
        "cantilever shear": force / (values["Fv"] * b * d * 2 / 3),
    }


# ---------------------------------------------------------------- plywood

# Form grade class I, PS 1, per ft: thickness, then I, S, Ib/Q with the face grain across the
# supports, then along them. READ, Peurifoy p. 218, p. 223.
CLASS_I = {
    "15/32 in": (15 / 32, (0.066, 0.244, 4.743), (0.018, 0.107, 2.419)),
    "1/2 in": (1 / 2, (0.077, 0.268, 5.153), (0.024, 0.130, 2.739)),
    "19/32 in": (19 / 32, (0.115, 0.335, 5.438), (0.029, 0.146, 2.834)),
    "5/8 in": (5 / 8, (0.130, 0.358, 5.717), (0.038, 0.175, 3.094)),
    "23/32 in": (23 / 32, (0.180, 0.430, 7.009), (0.072, 0.247, 3.798)),
    "3/4 in": (3 / 4, (0.199, 0.455, 7.187), (0.092, 0.306, 4.063)),
    "7/8 in": (7 / 8, (0.296, 0.584, 8.555), (0.151, 0.422, 6.028)),
    "1 in": (1.0, (0.427, 0.737, 9.374), (0.270, 0.634, 7.014)),
    "1-1/8 in": (1.125, (0.554, 0.849, 10.430), (0.398, 0.799, 8.419)),
}
# 3/4 in. of two general grades, face grain across: I, S, Ib/Q, Fb, Fs, E. READ, Florida week 7
# (group 1 S-1 wet) and Peurifoy pp. 137-138 (group 1 S-2 dry).
GENERAL = {
    "group 1 S-1 wet": (0.197, 0.412, 6.762, 1430, 44, 1.5e6),
    "group 1 S-2 dry": (0.278, 0.515, 8.050, 1650, 53, 1.8e6),
}


def sheathing(p, sheet, spacing, support):
    """{part: ratio} of plywood under p psf over studs `spacing` in. apart and `support` in. wide.

    Class I by the rule behind the published table of allowable pressures (READ, Peurifoy Tables
    4-13, 9-7): bending from centre to centre, rolling shear on the clear span, deflection on the
    clear span + 1/4 in. (2 in. studs) or + 5/8 in. (4 in.) (READ, Peurifoy p. 231) plus that from
    shear (MEMORY). F'b 1930 and F's 72 hold seven days (READ, Peurifoy p. 223); reused 1545 (READ,
    CM 420 slides, University of Washington) and 57 (MEMORY). General grades: deflection from
    centre to centre, seven days x 1.25 (READ, Florida week 7). None: no published values.
    """
    across = sheet.get("face_grain") == "across"
    used = sheet.get("reused") is not False
    moment, shear, sag = coefficients(sheet.get("spans"), SHEAR_PLYWOOD)
    clear = spacing - support
    if sheet["plywood"] == "form grade class I":
        if sheet["thickness"] not in CLASS_I:
            return None
        t, strong, weak = CLASS_I[sheet["thickness"]]
        I, S, IbQ = strong if across else weak  # noqa: E741
        Fb, Fs, E = (1545, 57, 1.65e6) if used else (1930, 72, 1.65e6)
        span = clear + (0.25 if support < 3 else 0.625)
        slid = (120 if across else 60) * p * t**2 * clear**2 / (1270 * 1.5e6 * I)
    else:
        if sheet["thickness"] != "3/4 in" or not across:
            return None
        I, S, IbQ, Fb, Fs, E = GENERAL[sheet["plywood"]]  # noqa: E741
        Fb, Fs = (Fb, Fs) if used else (Fb * 1.25, Fs * 1.25)
        span, slid = spacing, 0.0
    return {
        "bending": p * spacing**2 / moment / S / Fb,
        "rolling shear": shear * p * clear / 12 / (Fs * IbQ),
        "deflection": (p * span**4 / (sag * E * I) + slid) / sag_limit(spacing),
    }
