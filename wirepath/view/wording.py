"""Every text of the view that the sheets do not share, in one place, to be translated."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class ViewWords:
    """All texts of the view in one language. `lang` is the language's tag (BCP 47)."""

    lang: str
    no_script: str
    sections: str
    invented: str

    nav_job: str
    nav_cut: str
    nav_rough: str
    nav_solid: str
    nav_pieces: str
    nav_order: str

    cautions_title: str
    lifts_title: str
    notes_title: str
    drawing: str
    date: str
    workshop: str
    wire: str
    wire_value: str
    kerf: str
    kerf_value: str
    allowance: str
    blocks: str
    blocks_value: str
    pieces: str
    time: str
    time_value: str
    waste: str
    waste_value: str
    price: str

    layout: str
    layout_about: str
    piece_about: str
    picture_of_layout: str
    zoom_in: str
    zoom_out: str
    zoom_all: str
    key_to_come: str
    key_done: str
    key_now: str
    key_air: str
    key_offcut: str
    step_of: str
    step_slider: str
    back: str
    play: str
    pause: str
    next: str
    speed: str
    speed_real: str
    speed_times: str
    wire_caution: str
    all_steps: str
    tick_piece: str

    shown: str
    form_shown: str
    whole_shown: str
    picture_of_solid: str
    solid_hint: str
    turn_left: str
    turn_right: str
    turn_up: str
    turn_down: str
    turn_front: str

    form: str
    picture_of_roughing: str
    cutting_plane: str
    picture_of_cutting_plane: str
    cut_of: str
    all_cuts: str
    cut_title: str
    cut_kinds: tuple[tuple[str, str], ...]
    cut_turn: str
    cut_tilt: str
    cut_wire: str
    cut_off: str
    cut_mirrored: str
    cut_lift: str
    cut_lift_more: str
    mark_heads: tuple[str, str, str]
    mark: str
    mark_flat: str
    faces: tuple[tuple[str, str], ...]
    rough_way: str
    rough_off: str
    rough_off_value: str
    rough_left: str
    rough_left_value: str

    ticked: str
    ticks_lost: str
    clear_ticks: str
    clear_sure: str

    order_heads: tuple[str, ...]
    order_total: str
    offcuts_title: str
    offcuts_none: str
    offcut_heads: tuple[str, ...]


ENGLISH = ViewWords(
    lang="en",
    no_script="This page needs JavaScript. It loads nothing from anywhere.",
    sections="Sections",
    invented="INVENTED DATA",
    nav_job="Job",
    nav_cut="Cut",
    nav_rough="Rough",
    nav_solid="Solid",
    nav_pieces="Pieces",
    nav_order="Order",
    cautions_title="Before the wire is hot",
    lifts_title="Heavy",
    notes_title="What was done to the drawing",
    drawing="Drawing",
    date="Date",
    workshop="Workshop",
    wire="Wire",
    wire_value="{alloy}, {diameter} mm thick, {length} mm long, {volts} V {kind}",
    kerf="Kerf",
    kerf_value="{kerf} mm at {feed} mm/s",
    allowance="Left on for carving",
    blocks="Blocks",
    blocks_value="{needed}; by volume never fewer than {fewest}",
    pieces="Pieces",
    time="Time",
    time_value="about {cutting} min cutting, {setup} min setting up",
    waste="Waste",
    waste_value="{share} % of {bought} litres bought",
    price="Price",
    layout="Foam",
    layout_about=(
        "{stock}, {foam}. {width} x {height} mm, {thickness} mm along the wire, {weight} kg{lift}. "
        "The black angle is the datum corner."
    ),
    piece_about="{layout}. {width} x {height} x {thickness} mm, {foam}, {weight} kg{lift}",
    picture_of_layout=(
        "The foam from its front, the pieces, the wire's way. "
        "Keys: left and right for steps, space to play, plus and minus to zoom, 0 for all."
    ),
    zoom_in="Larger",
    zoom_out="Smaller",
    zoom_all="All",
    key_to_come="to come",
    key_done="cut",
    key_now="now",
    key_air="outside the foam",
    key_offcut="offcut to keep",
    step_of="Step {number} of {total}",
    step_slider="Drag to any step",
    back="Back",
    play="Play",
    pause="Pause",
    next="Next",
    speed="Speed",
    speed_real="as the wire cuts",
    speed_times="{times} times as fast",
    wire_caution=(
        "The wire burns at any touch. Wire off before you reach in. "
        "Never leave it hot and standing in foam, or alone."
    ),
    all_steps="All steps",
    tick_piece="Tick {piece}",
    shown="Shown",
    whole_shown="All pieces, as they stand",
    form_shown="{part}, as its contours bound it",
    picture_of_solid="The block with its pieces. Turn it with the arrow keys.",
    solid_hint="Drag to turn. Nothing here is for measuring.",
    turn_left="Turn left",
    turn_right="Turn right",
    turn_up="Turn up",
    turn_down="Turn down",
    turn_front="Front",
    form="Form",
    picture_of_roughing=(
        "The form in its block, and the wire on this cut. Turn it with the arrow keys."
    ),
    cutting_plane="Looking along the wire",
    picture_of_cutting_plane="The block's shadow, what stays, and the wire's way.",
    cut_of="Cut {number} of {total}",
    all_cuts="All cuts",
    cut_title="{kind}, block {blank}",
    cut_kinds=(
        ("outline", "Outline"),
        ("profile", "Profile"),
        ("tilted profile", "Tilted profile"),
        ("corner", "Corner"),
        ("slab", "Slab"),
        ("slanted slab", "Slanted slab"),
        ("hole", "Hole"),
    ),
    cut_turn="Turn the block {turn}° clockwise, seen from the front.",
    cut_tilt="The wire rises {tilt}° out of the plane of the face.",
    cut_wire="Up to {wire} mm of wire lie in foam.",
    cut_off="Takes off {litres} litres.",
    cut_mirrored="Draw it on the back: left and right change sides.",
    cut_lift="Lump {number} comes free: {weight} kg. People to hold it: {people}.",
    cut_lift_more="Lump {number} comes free: {weight} kg. More than two people, or a hoist.",
    mark_heads=("mark", "one end", "other end"),
    mark="{face}: {along} along, {height} from the back",
    mark_flat="{face}: {along} across, {height} up",
    faces=(
        ("left", "left"),
        ("right", "right"),
        ("bottom", "bottom"),
        ("top", "top"),
        ("back", "back"),
        ("front", "front"),
    ),
    rough_way="Way",
    rough_off="Taken off",
    rough_off_value=(
        "{litres} litres, {share} % of the bulk; a straight wire cannot take more than {bound}"
    ),
    rough_left="Left to carve",
    rough_left_value="{least} to {most} litres",
    ticked="{done} of {total} pieces ticked",
    ticks_lost="This device keeps nothing for this page: ticks are lost when it is closed.",
    clear_ticks="Clear all ticks",
    clear_sure="Press again to clear all",
    order_heads=("block", "foam", "size, mm", "order", "price"),
    order_total="together, {currency}",
    offcuts_title="Offcuts to keep",
    offcuts_none="None is large enough to keep.",
    offcut_heads=("no.", "from", "size, mm", "litres"),
)
