# ruff: noqa: E501  (a text is one line)
"""Every text printed for people on paper, in one place, so that it can be translated.

`Words` names the texts; each is a sentence or a template with {named} places. A
translation is another `Words`: all texts must be given, or it cannot be made. Figures
come in ready to print. Instructions are short, one action each, as a colleague says it.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Words:
    """All texts of the sheets in one language."""

    # Title strip
    sheet_of: str
    scale: str
    no_scale: str
    invented_strip: str

    # Front page
    front_title: str
    front_more_title: str
    invented: str
    drawing: str
    drawing_contours: str
    dated: str
    workshop: str
    cutting: str
    allowance: str
    order_title: str
    order_heads: tuple[str, ...]
    order_total: str
    order_note: str
    size: str
    foam_title: str
    foam_heads: tuple[str, ...]
    foam_pieces: str
    foam_offcuts: str
    foam_kerf: str
    foam_trim: str
    foam_scrap: str
    foam_bought: str
    foam_waste: str
    bound: str
    carve: str
    work_title: str
    wire_total: str
    wire_split: str
    slab_cuts_length: str
    time: str
    price_heads: tuple[str, ...]
    price_foam: str
    price_delivery: str
    price_labour: str
    price_total: str
    cautions_title: str
    cautions: tuple[tuple[str, str], ...]
    lifts_title: str
    lifts_none: str
    lift_block: str
    lift_piece: str
    lift_two: str
    lift_more: str
    repairs_title: str
    repairs_none: str
    note_repair: str
    note_ignored: str
    note_warning: str
    at_place: str
    counts_title: str
    counts_heads: tuple[str, ...]
    pieces_title: str
    pieces_heads: tuple[str, ...]
    pieces_note: str
    offcuts_title: str
    offcuts_heads: tuple[str, ...]
    offcuts_none: str
    offcuts_note: str
    sheets_title: str
    sheets_heads: tuple[str, ...]

    # The whole
    assembly_title: str
    assembly_layer_title: str
    assembly_forms: str
    assembly_heads: tuple[str, ...]
    assembly_total: str
    assembly_agreed: str
    assembly_name: str
    assembly_date: str

    # Blocks and slabs
    block: str
    slab: str
    piece: str
    piece_named: str
    slabs_title: str
    slabs_steps: tuple[str, ...]
    slabs_heads: tuple[str, ...]
    slabs_which_blocks: str
    slabs_caution: str
    slabs_rest: str
    slabs_trim: str
    slabs_layout: str
    slabs_uses: str
    slabs_use: str
    datum_face: str
    along_edge: str

    # Layout
    layout_title: str
    layout_steps_title: str
    layout_squares_title: str
    about_block: str
    about_kerf: str
    about_allowance: str
    about_rounding: str
    about_shape: str
    key_wire: str
    key_way: str
    key_finished: str
    key_waste: str
    key_offcut: str
    key_trim: str
    key_step: str
    key_in: str
    key_datum: str
    key_up: str
    in_mark: str
    datum: str
    offcut_mark: str
    list_only: str
    places_title: str
    places_heads: tuple[str, ...]
    from_to: str
    squares_are: str
    turned: str
    flipped: str

    # Steps
    steps_title: str
    steps_begin: str
    steps_caution: str
    edges: tuple[str, str, str, str]
    across: str
    up: str
    step_in: str
    step_in_first: str
    step_air: str
    step_way: str
    step_way_to_hole: str
    step_slit: str
    step_round: str
    step_round_hole: str
    step_along: str
    step_along_hole: str
    step_on: str
    step_on_hole: str
    step_round_rest: str
    step_round_rest_hole: str
    step_run_on: str
    step_free: str
    step_free_heavy: str
    step_plug: str
    step_back_to: str
    step_back_to_hole: str
    step_back: str
    step_out: str
    clockwise: str
    anticlockwise: str

    # Setting out by squares
    squares_intro: tuple[str, ...]
    squares_heads: tuple[str, ...]
    squares_line: str
    squares_hole: str


ENGLISH = Words(
    sheet_of="sheet {number} of {total}",
    scale="scale 1 : {scale}",
    no_scale="not to scale",
    invented_strip="INVENTED DATA",
    front_title="What to order, what to mind",
    front_more_title="Lists",
    invented="Everything in this job is invented for demonstration. Order nothing from it.",
    drawing="Drawing: {file}. Taken to be in {units}. 1 mm drawn is {scale} mm finished.",
    drawing_contours="Contours: {count}, from {low} to {high} mm above the flat back.",
    dated="Date: {date}",
    workshop="Workshop: {name}. Wire: {alloy}, {diameter} mm thick, {length} mm long, {volts} V {kind}.",
    cutting="Kerf {kerf} mm at {feed} mm/s. The wire lines on the sheets have it in already.",
    allowance="Allowance left on for carving: {allowance} mm outside the finished line.",
    order_title="Order",
    order_heads=(
        "block",
        "foam",
        "size, mm",
        "needed",
        "spare",
        "order",
        "each",
        "price",
        "m3",
        "kg",
    ),
    order_total="together",
    order_note="Ask for aged blocks: fresh foam still gives off gas that burns. Prices in {currency}.",
    size="{length} x {width} x {thickness}",
    foam_title="Where the foam goes",
    foam_heads=("", "litres", "% of what is bought"),
    foam_pieces="pieces",
    foam_offcuts="offcuts to keep",
    foam_kerf="kerf",
    foam_trim="trim",
    foam_scrap="scrap",
    foam_bought="bought for the plan, spare not counted",
    foam_waste="waste: kerf, trim and scrap",
    bound="Blocks needed: {needed}. By volume no plan can do with fewer than {fewest}.",
    carve="Left for the carver to take off: about {litres} litres.",
    work_title="Wire, time, price",
    wire_total="Total way of the wire: {total} m.",
    wire_split="{foam} m through foam, {slot} m back through slots, {air} m in air.",
    slab_cuts_length="Slab cuts: another {slabs} m.",
    time="Time: about {cutting} min cutting and {setup} min setting up.",
    price_heads=("price", "{currency}"),
    price_foam="foam",
    price_delivery="delivery",
    price_labour="labour",
    price_total="together",
    cautions_title="Before the wire is hot",
    cautions=(
        (
            "Foam.",
            "Only EPS and XPS. Never PUR, PIR, PVC or foam you do not know: their fumes poison.",
        ),
        (
            "Burns.",
            "The wire is at 200 to 400 °C. Any touch burns. Hands never near its line. Wire off before you reach in.",
        ),
        (
            "Fumes.",
            "Draw them off at the wire. Keep the wire as cool as the feed allows. Old or reclaimed foam may hold banned flame retardants: do not cut it hot.",
        ),
        (
            "Fire.",
            "No flame, no smoking. Extinguisher at hand. Never leave a hot wire standing in foam or alone. Keep little foam in the room.",
        ),
        (
            "Electricity.",
            "Extra-low voltage from an isolating transformer or SELV supply, secondary fused, emergency stop. Never a dimmer or an autotransformer on the mains.",
        ),
        ("Lifting.", "Mind the weights below. Wind takes big pieces: two people outdoors."),
        (
            "Glue.",
            "Glue last. Most glues do not cut with a hot wire, and polyurethane glue must never be cut hot.",
        ),
        (
            "Rules.",
            "Local rules come first. Wiring, extraction and fire protection: ask licensed people.",
        ),
    ),
    lifts_title="Heavy",
    lifts_none="Nothing here is heavier than {one} kg, the most for one person in this workshop.",
    lift_block="block {stock}: {weight} kg each",
    lift_piece="{piece}: {weight} kg",
    lift_two="two people",
    lift_more="more than two people, or a hoist",
    repairs_title="What was done to the drawing",
    repairs_none="Nothing was repaired, left out or in doubt.",
    note_repair="Repaired: {text}{place}.",
    note_ignored="Left out: {text}{place}.",
    note_warning="Look at this: {text}{place}.",
    at_place=" (near {x} across, {y} up)",
    counts_title="What the drawing holds",
    counts_heads=("entity", "found", "read", "left out", "refused", "why"),
    pieces_title="Pieces",
    pieces_heads=("no.", "name", "on", "width", "height", "thick", "foam", "kg"),
    pieces_note="Sizes in mm as the wire leaves them, allowance included.",
    offcuts_title="Offcuts to keep",
    offcuts_heads=("no.", "from", "size, mm", "litres"),
    offcuts_none="None is large enough to keep.",
    offcuts_note="Write the number and the foam on each.",
    sheets_title="Sheets",
    sheets_heads=("sheet", "shows"),
    assembly_title="The whole, seen from the front",
    assembly_layer_title="The whole, layer {number} of {total}: {mm} mm off the back",
    assembly_forms="What goes where, finished sizes in mm",
    assembly_heads=("piece", "part", "size, mm", "copies", "kg each"),
    assembly_total="Pieces: {pieces}. As the wire leaves them: {weight} kg, {litres} litres of foam.",
    assembly_agreed="Agreed: form, size and seams as drawn above.",
    assembly_name="name",
    assembly_date="date",
    block="block {block}",
    slab="block {block}, slab {slab}",
    piece="piece {number}",
    piece_named="piece {number} ({name})",
    slabs_title="{blocks}: saw into slabs",
    slabs_steps=(
        "Lay the block so that the {depth_edge} mm edge stands along your rule. The datum face is one of the two {face} mm faces.",
        "Write DATUM on that face. Measure every mark from it, never from the last cut.",
        "Mark all four sides. The mark is where the wire's centre runs. The kerf of {kerf} mm is in it already.",
        "Cut flat, from mark to mark. Number each slab on its datum side as it comes off. Draw the datum corner on it.",
    ),
    slabs_heads=("cut", "mark, mm from datum face", "leaves before it"),
    slabs_caution="A block weighs {weight} kg{who}. Extraction on. Hands never near the line.",
    slabs_which_blocks="Do this with {count} of {stock} ({size} mm): {blocks}.",
    slabs_rest="the rest",
    slabs_trim="trim",
    slabs_layout="slab {slab}, {thickness} mm thick",
    slabs_uses="What each slab is for",
    slabs_use="{name}: pieces {pieces}.",
    datum_face="DATUM FACE",
    along_edge="mm from the datum face",
    layout_title="{name}: the lines to cut",
    layout_steps_title="{name}: step by step",
    layout_squares_title="{name}: setting out by squares",
    about_block="{stock}, {foam}. Face {width} x {height} mm, {thickness} mm along the wire. It weighs {weight} kg{lift}.",
    about_kerf="The wire runs {half} mm outside each piece: half the kerf of {kerf} mm at {feed} mm/s.",
    about_allowance="{allowance} mm are left on for carving.",
    about_rounding="Figures are whole mm from the datum corner. Exact ones stand in the coordinate files.",
    about_shape="At this scale the wire line and the edge of the piece are one line.",
    key_wire="wire line, and which way",
    key_way="cut through waste or piece",
    key_finished="finished line",
    key_waste="waste",
    key_offcut="offcut to keep",
    key_trim="trim: no piece beyond",
    key_step="step begins",
    key_in="wire goes in and out",
    key_datum="datum corner",
    key_up="piece's own up",
    in_mark="IN {number}: {distance}",
    datum="0",
    offcut_mark="offcut {number}: {width} x {height}",
    list_only="No room in the picture, see the list: {what}.",
    places_title="Where the pieces lie",
    places_heads=("piece", "name", "across", "up", "laid"),
    from_to="{low} to {high}",
    squares_are="Squares: {side} mm, from the datum corner.",
    turned="turned {angle}°",
    flipped="face down",
    steps_title="Steps",
    steps_begin="Lay the foam with its front to you and the datum corner at the lower left. Measure it: {width} x {height} mm.",
    steps_caution="Extraction on. Extinguisher at hand. Hands never near the line.",
    edges=("left edge", "bottom edge", "right edge", "top edge"),
    across="{mm} mm across",
    up="{mm} mm up",
    step_in_first="Wire on. Go in at mark IN {number}: {edge}, {place}. Cut in to {piece}.",
    step_in="Go in at mark IN {number}: {edge}, {place}. Cut in to {piece}.",
    step_air="Go round outside the foam to mark IN {number}.",
    step_way="Cut {mm} mm through waste to {piece}.",
    step_way_to_hole="Cut {mm} mm through waste to the hole in {piece}.",
    step_slit="Cut {mm} mm straight through {piece} to its hole. Glue this slit later.",
    step_round="Cut round {piece}, {sense}, back to where you began.",
    step_round_hole="Cut round the hole in {piece}, {sense}, back to where you began.",
    step_along="Cut along {piece}, {sense}, as far as step {next}.",
    step_along_hole="Cut along the hole in {piece}, {sense}, as far as step {next}.",
    step_on="Cut on along {piece}, {sense}, as far as step {next}.",
    step_on_hole="Cut on along the hole in {piece}, {sense}, as far as step {next}.",
    step_round_rest="Cut on round {piece}, {sense}, back to where its line began.",
    step_round_rest_hole="Cut on round the hole in {piece}, {sense}, back to where its line began.",
    step_run_on="Run on {mm} mm, then back.",
    step_free="It comes free: support it.",
    step_free_heavy="It comes free and weighs {weight} kg: {who}.",
    step_plug="The plug comes free: keep it off the wire.",
    step_back_to="Go back through the slot to {piece}.",
    step_back_to_hole="Go back through the slot to the hole in {piece}.",
    step_back="Go back through the slot to the edge.",
    step_out="Leave the foam. Wire off.",
    clockwise="clockwise",
    anticlockwise="anticlockwise",
    squares_intro=(
        "Draw squares of {side} mm on the foam, from the datum corner. Check that both diagonals are equal.",
        "A row with two squares: the line passes from one to the other. Measure along the side between them, from its left end (across) or its lower end (up).",
        "A row with one square: a corner of the line in it. Measure from the square's lower left corner. From one such row to the next the line is straight.",
        "Mark, then join in the order of the rows. This is the edge of the piece. The wire runs {half} mm outside it.",
    ),
    squares_heads=("squares", "across", "up"),
    squares_line="{piece}, outline",
    squares_hole="{piece}, hole {hole}",
)
