"""What is said of roughing, in Dutch."""

from __future__ import annotations

from wirepath.wording.roughing.words import RoughingWords

DUTCH = RoughingWords(
    front_title="Ruw snijden: eerst lezen",
    front_text=(
        "Deze sneden nemen de massa van een vorm voordat die wordt uitgesneden. Ze beginnen met "
        "eigen blokken, waarvan de maten hieronder staan, en eindigen met de omtrek: ze komen in "
        "de plaats van de omtreksnede op de snijbladen. Wat overblijft is de vorm met het schuim "
        "om weg te snijden. Snijd in de volgorde van de bladen, zolang de vlakken haaks zijn."
    ),
    blanks="Blokken om mee te beginnen, maten zoals de vorm staat",
    blanks_heads=("vorm", "blok", "breedte, mm", "hoogte, mm", "diepte, mm"),
    title="Ruw snijden {name}",
    cut_title="Ruwe snede {number} van {total}: {what}, {kind}",
    map_title="Ruw snijden {name}: blijft over om weg te snijden",
    kinds=(
        ("outline", "omtrek"),
        ("profile", "profiel"),
        ("tilted profile", "gekanteld profiel"),
        ("standing profile", "profiel, blok op zijn kant"),
        ("corner", "vlakke snede"),
        ("slab", "plak, rechte rand"),
        ("slanted slab", "plak, schuine rand"),
        ("hole", "gaten in een plak"),
    ),
    faces=(
        ("left", "links"),
        ("right", "rechts"),
        ("bottom", "onder"),
        ("top", "boven"),
        ("back", "achter"),
        ("front", "voor"),
    ),
    way_names=(
        ("outline", "omtrek"),
        ("outline and two profiles", "omtrek en twee profielen"),
        ("with diagonals", "met diagonalen"),
        ("with tilted profiles", "met gekantelde profielen"),
        ("with standing profiles", "met profielen, ook op zijn kant"),
        ("flat cuts only", "alleen vlakke sneden"),
        ("slabs of {} mm, straight edges", "plakken van {} mm, rechte randen"),
        ("slabs of {} mm, slanted edges", "plakken van {} mm, schuine randen"),
        ("{} pieces, then profiles", "{} stukken, dan profielen"),
        ("{} strips across, then profiles", "{} stroken dwars, dan profielen"),
        ("{} strips upright, then profiles", "{} stroken rechtop, dan profielen"),
        ("pieces as planned", "stukken zoals gepland"),
        ("pieces as planned, then two profiles", "stukken zoals gepland, dan twee profielen"),
        ("pieces as planned, then profiles", "stukken zoals gepland, dan profielen"),
        (
            "pieces as planned, then tilted profiles",
            "stukken zoals gepland, dan gekantelde profielen",
        ),
        (
            "pieces as planned, then standing profiles",
            "stukken zoals gepland, dan profielen, ook op hun kant",
        ),
        ("glued form as cut", "gelijmde vorm zoals gesneden"),
        ("glued, then profiles", "gelijmd, dan profielen"),
        ("{} pieces, then flat cuts", "{} stukken, dan vlakke sneden"),
        ("pieces as planned, then flat cuts", "stukken zoals gepland, dan vlakke sneden"),
        ("glued, then flat cuts", "gelijmd, dan vlakke sneden"),
    ),
    notes=(
        ("mirrored", "Als laatste en van achteren snijden: daar staat de lijn gespiegeld."),
        (
            "seen through",
            "Een gat van {0:.2f} m2 is langs deze draad dwars door de vorm te zien: het vraagt "
            "een sleuf of een ingeregen draad en blijft hier staan.",
        ),
        ("two people", "Reststuk {0:.0f} weegt {1:.0f} kg: met twee mensen."),
        (
            "more than two",
            "Reststuk {0:.0f} weegt {1:.0f} kg: meer dan twee mensen, of eerst delen.",
        ),
        (
            "thin",
            "Langs deze draad blijft op {0:.0f} plaatsen schuim dunner dan {1:.0f} mm: wees er "
            "voorzichtig mee.",
        ),
        (
            "glue line",
            "De draad kruist de lijmnaad van stukken {0:.0f} en {1:.0f}: lijm alleen waar het blad "
            "van het lijmen het zegt.",
        ),
        ("both ends", "Beide einden volgen eigen lijnen: roep de nummers samen af."),
        (
            "ring",
            "Een ring met {0:.0f} gaten: elk bereiken door een sleuf, die daarna gelijmd wordt, "
            "of de draad inrijgen.",
        ),
        (
            "hollow",
            "Een holte van {0:.0f} liter bij x {1:.0f}, y {2:.0f} mm: geen rechte draad komt "
            "van buiten bij de bodem.",
        ),
        (
            "hollow form",
            "De vorm is hol: rechte draden kunnen zo hoogstens {0:.0f} % van de massa wegnemen; "
            "naden door de holte, of plakken, openen die voor de draad.",
        ),
        (
            "holes",
            "De vorm heeft gaten dwars erdoorheen: elk vraagt een sleuf om te lijmen, of een "
            "ingeregen draad; het ruw snijden laat ze staan.",
        ),
        ("short wire", "Met {0:.0f} mm draad gaan deze manieren niet op deze machine: {ways}."),
        (
            "slopes",
            "Tussen de hoogtelijnen geldt het oppervlak als rechte helling, zoals de opdracht "
            "vraagt: waar de vorm bol is, blijft er misschien minder overmaat.",
        ),
    ),
    picked=(
        "{way}, sneden: {cuts}. Weg: {off} van {removable} liter massa, {share} %. Rechte "
        "draden kunnen van het geheel {hull} liter wegnemen."
    ),
    bound_blanks="Van de {count} blokken apart is het met deze machine hoogstens {hull} liter.",
    bound_rig="Met deze machine is het hoogstens {hull} liter.",
    left="Blijft over om weg te snijden: {least} tot {most} liter, naar hoe hoog de vorm staat.",
    left_known="Blijft over om weg te snijden: {litres} liter.",
    left_hours="Dat is {least} tot {most} uur bij {rate} liter per uur.",
    left_hours_known="Dat is {hours} uur bij {rate} liter per uur.",
    ways="Manieren vergeleken",
    ways_heads=(
        "manier",
        "blokken",
        "schuim,\nliter",
        "liter\nweg",
        "blijft\nover, l",
        "sneden",
        "meter",
        "langste\ndraad, mm",
        "naden,\nm2",
    ),
    order="Volgorde van het werk",
    order_heads=("snede", "van", "soort", "liter", "draad, mm", "m", "reststukken"),
    order_why=(
        "Eerst de profielen, zolang de vlakken van het blok haaks zijn voor de merktekens. Leg elk "
        "reststuk terug op zijn plaats: het houdt de vlakken heel en draagt de vorm als een wieg. "
        "De omtrek komt als laatste."
    ),
    order_why_pieces=(
        "Eerst de snijbladen: elk stuk wordt langs zijn omtrek uit de plak gesneden. Dan wordt het "
        "apart ruw gesneden, voordat er iets wordt gelijmd. Een stuk dat zijn kist niet vult, ligt "
        "terug in zijn reststukken, eromheen gebonden of gespeld: ze geven de vlakken voor de "
        "merktekens en dragen het als een wieg. Leg ook terug wat elke snede wegneemt, tot het "
        "stuk klaar is."
    ),
    order_why_glued=(
        "De vorm wordt als één geheel ruw gesneden, als hij gelijmd is en zijn omtrek gesneden: "
        "eerst de snijbladen en het lijmen, en deuvel noch lijm mag in de weg van deze sneden "
        "liggen. De gelijmde vorm ligt daarbij in reststukken die zijn kist vullen."
    ),
    no_cuts="Geen rechte snede loont op deze stukken. Ze gaan zo naar wie de vorm uitsnijdt.",
    copies="Doe hetzelfde met elk van: {names}. De stukken heten naar die van de eerste.",
    piece="stuk {number} {name}",
    block="blok {number}",
    glued_form="de gelijmde vorm",
    take_piece=(
        "Neem {what}, langs de omtrek uitgesneden. Het is een haaks blok van {size} mm zoals de "
        "vorm staat: breedte, hoogte, dikte."
    ),
    cradle_piece=(
        "Neem {what}, langs de omtrek uitgesneden. Leg de reststukken er weer omheen, of restjes "
        "in hun plaats, tot het vast in een haakse kist van {size} mm ligt zoals de vorm staat: "
        "breedte, hoogte, dikte. Bind of speld het samen, geen speld in de weg van de draad."
    ),
    faces_named=(
        "De vlakken heten zoals u op de voorkant kijkt, het blok staat zoals de tekening. Links, "
        "rechts, onder en boven: eerste getal vanaf de onder- of linkerrand van het vlak, tweede "
        "getal vanaf de achterkant. Achter en voor: eerste getal vanaf de LINKERRAND, van voren "
        "gezien, tweede getal vanaf de onderrand. Alles in mm."
    ),
    before="ervoor, de einden van de draad dik",
    after="erna",
    steps="Doe dit",
    step_mark=(
        "Zet de merktekens uit de tabel op de vlakken, nummers ernaast: eerste einde {first}, "
        "tweede einde {second}. Verbind de merktekens van elk einde met rechte lijnen."
    ),
    step_mark_back=(
        "Bind de reststukken weer vast en zet het blok op zijn lange kant, zodat de een de "
        "voorkant en de ander de achterkant ziet. Op de achterkant ligt de linkerrand, van voren "
        "gezien, RECHTS van u: meet vandaar."
    ),
    step_cut=(
        "Houd de draad met twee mensen strak, een aan elk einde. Begin in de lucht voor teken 1. "
        "Roep de nummers af: beide einden bereiken elk teken samen en gaan ertussen gelijkmatig. "
        "Ga door tot de draad weer in de lucht is. Draad uit."
    ),
    edge_places=(
        ("front", "left", "op de linkerrand, {mm} mm van onderen"),
        ("front", "right", "op de rechterrand, {mm} mm van onderen"),
        ("front", "bottom", "op de onderrand, {mm} mm van links"),
        ("front", "top", "op de bovenrand, {mm} mm van links"),
        ("top", "left", "op de linkerrand daarvan, {mm} mm van achteren"),
        ("top", "right", "op de rechterrand daarvan, {mm} mm van achteren"),
        ("top", "back", "op de achterrand daarvan, {mm} mm van links"),
        ("top", "front", "op de voorrand daarvan, {mm} mm van links"),
        ("right", "back", "op de achterrand daarvan, {mm} mm van onderen"),
        ("right", "front", "op de voorrand daarvan, {mm} mm van onderen"),
        ("right", "bottom", "op de onderrand daarvan, {mm} mm van achteren"),
        ("right", "top", "op de bovenrand daarvan, {mm} mm van achteren"),
    ),
    step_lines=(
        (
            "front",
            "Trek met potlood een lijn over de voorkant van het blok: van A {first}, naar B "
            "{second}.",
        ),
        (
            "top",
            "Trek met potlood een lijn over de bovenkant van het blok: van A {first}, naar B "
            "{second}.",
        ),
        (
            "right",
            "Trek met potlood een lijn over de rechterkant van het blok: van A {first}, naar B "
            "{second}.",
        ),
    ),
    step_table=(
        "Zet het blok zo dat deze lijn langs de draad ligt, A aan uw kant. Het is dan {turn} "
        "graden met de klok mee gedraaid, van voren gezien.{tilt} Nulpunt: het linker- en "
        "ondereinde van het blok, van A naar B gezien.{beside} Volg de punten in de tabel; "
        "toeslag en snijvoeg zitten erin."
    ),
    step_standing=(
        (
            "top",
            "Zet het blok op zijn onderkant, de reststukken weer op hun plaats, en houd het zo "
            "dat het niet kan omvallen. Draai het tot de lijn bovenop langs de draad ligt, A aan "
            "uw kant. Er wordt niets gekanteld; leg bij een staande draad in plaats daarvan de "
            "onderkant langs de draad. Nulpunt: het linker- en ondereinde van het blok, van A naar "
            "B gezien.{beside} Volg de punten in de tabel; toeslag en snijvoeg zitten erin.",
        ),
        (
            "right",
            "Zet het blok op zijn linkerkant, de reststukken weer op hun plaats, en houd het zo "
            "dat het niet kan omvallen. Draai het tot de lijn bovenop langs de draad ligt, A aan "
            "uw kant. Er wordt niets gekanteld; leg bij een staande draad in plaats daarvan de "
            "linkerkant langs de draad. Nulpunt: het linker- en ondereinde van het blok, van A "
            "naar B gezien.{beside} Volg de punten in de tabel; toeslag en snijvoeg zitten erin.",
        ),
    ),
    step_tilt=(
        " Kantel blok of draad: naar B toe stijgt de draad {tilt} graden, van achter naar voren."
    ),
    step_beside=" De lijn ligt {right} mm rechts daarvan.",
    step_square=(
        "Zet het blok zo dat de draad haaks op de voorkant staat. Nulpunt: zijn linker- en "
        "ondereinde, van voren gezien. Volg de punten in de tabel; toeslag en snijvoeg zitten erin."
    ),
    line_captions=(
        ("front", "voorkant: de lijn om het te zetten"),
        ("top", "bovenkant, achter is boven"),
        ("right", "rechterkant, voor is links"),
    ),
    step_file="De punten staan ook in coordinates/{file}.",
    step_slab=(
        "Plak {number} van achteren, {thickness} mm dik, uit een blok gezaagd of als plaat "
        "gekocht: van {low} tot {high} mm boven de achterkant. Meet vanaf de linker- en onderrand."
    ),
    step_slit=(
        "Snede naar gat {number}: snijd met de draad haaks op de plak recht naar binnen, van {x0} "
        "mm van links, {y0} mm van onder tot {x1} en {y1} mm: {length} mm. Ga rond het gat, ga "
        "door de snede terug, neem de kern eruit. Lijm de snede voordat de plak wordt verlijmd."
    ),
    step_both=(
        "Het ondereinde van de draad (achterkant van de plak) volgt het eerste paar getallen, het "
        "boveneinde het tweede; beide bereiken elk nummer samen."
    ),
    step_wire="Er ligt hoogstens {wire} mm draad in schuim; de snede is {length} m lang.",
    step_off=(
        "Neem reststuk {number} weg: {litres} liter, {weight} kg, past in {size} mm.{keep}{people}"
    ),
    step_off_small="Neem weg wat verder loskomt: {litres} liter in kleine stukken.",
    keep=" Bewaren loont.",
    two=" Met twee mensen tillen.",
    more=" TE ZWAAR voor twee: eerst delen.",
    lay_back="Leg de reststukken terug op hun plaats voor de volgende snede.",
    marks="Merktekens",
    marks_on="Eerste einde op vlak {first}, tweede einde op vlak {second}, mm",
    marks_heads=("nr.", "eerste,\nlangs", "op", "tweede,\nlangs", "op"),
    points="Punten in het snijvlak, vanaf het nulpunt, mm",
    points_heads=("nr.", "rechts", "op"),
    ruled_heads=("nr.", "onder\nx", "y", "boven\nx", "y"),
    first_end="eerste einde: vlak {face}, vanaf de zwarte hoek",
    second_end="tweede einde: vlak {face}, vanaf de zwarte hoek",
    plane=(
        "het snijvlak, langs de draad gezien; gearceerd: wat blijft; nulpunt: de zwarte hoek; "
        "nummers: tabel"
    ),
    plot="Liter weg per aantal sneden",
    depth=(
        "Hoe diep er hoogstens gesneden moet worden, in mm, over vierkanten van {cell} mm. Een "
        "lijn verbindt gelijke diepten, haar getal is vet: {steps} mm. Hoe dichter gearceerd, "
        "hoe dieper."
    ),
    cautions=(
        "Hete draad: lucht de ruimte, geen vlam, handschoenen die niet smelten, nooit ingeschakeld "
        "achterlaten. Plaatselijke regels en het veiligheidsblad van het schuim gaan voor."
    ),
)
