# What to look for at a place, what should protect the loom there, cautions and notes.

## Where the engine is

looking-the-engine-is-behind-the-seats-engine-left = Der Motor sitzt hinter den Sitzen: „Motorraum links“, „Motorraum rechts“ und „Getriebe oben“ sind dort. Was zur Karosserie gehört und sonst neben dem Motor sitzt, etwa die Bremseinheit, wird im vorderen Gepäckraum angenommen; Batterie und Kühler werden vorn angenommen.
looking-the-engine-is-at-the-rear-engine-left = Der Motor sitzt hinten: „Motorraum links“, „Motorraum rechts“ und „Getriebe oben“ sind unter dem Ladeboden. Was zur Karosserie gehört und sonst neben dem Motor sitzt, etwa die Bremseinheit, wird im vorderen Gepäckraum angenommen; Batterie und Kühler werden vorn angenommen.
looking-the-engine-is-under-the-front-seats-engine = Der Motor sitzt unter den Vordersitzen: „Motorraum links“, „Motorraum rechts“ und „Getriebe oben“ sind dort, und im Vorbau ist kein Motor. Was zur Karosserie gehört und sonst neben dem Motor sitzt, etwa die Bremseinheit, wird im Vorbau angenommen; Batterie und Kühler werden vorn angenommen.
looking-the-engine-is-at-the-rear-where-others = Der Motor sitzt hinten, wo andere den Kofferraum haben: „Motorraum links“, „Motorraum rechts“ und „Getriebe oben“ sind dort, und „Laderaum“ ist der Raum hinter der Rückbank. Was zur Karosserie gehört und sonst neben dem Motor sitzt, etwa die Bremseinheit, wird im vorderen Gepäckraum angenommen; Batterie und Kühler werden vorn angenommen.

## What protects the loom

looking-clips-at-most-610-mm-apart-or-a = Clips im Abstand von höchstens 610 mm oder durchgehender Kabelkanal; höchstens 13 mm Spiel bei mäßigem Druck der Hand.
looking-conduit-with-taped-ends-clips-at-most-610 = Wellrohr mit umwickelten Enden, Clips im Abstand von höchstens 610 mm und nur so viel Spiel, wie die Motorbewegung braucht.
looking-conduit-right-round-the-loom-with-both-ends = Wellrohr rund um den Kabelbaum, beide Enden umwickelt, am tiefsten Punkt zum Ablaufen offen; Clips im Abstand von höchstens 610 mm, höchstens 13 mm Spiel.
looking-a-whole-grommet-seated-all-round-so-that = Eine heile Tülle, ringsum im Sitz, sodass nichts näher als 9,5 mm an die blanke Kante kommt, und auf der Radseite Spiel für Lenkeinschlag und Ausfedern.
looking-a-whole-grommet-seated-on-both-sides-so = Eine heile Tülle, auf beiden Seiten im Sitz, sodass nichts näher als 9,5 mm an die blanke Kante kommt; ein Clip auf jeder Seite nimmt den Zug auf.
looking-the-moving-coils-own-housing-and-a-loop = Das eigene Gehäuse der Wickelfeder und eine an beiden Enden geclipste Schlaufe, die keine Stellung von Höhe, Weite oder Lenkrad spannen kann.
looking-a-boot-seated-at-both-ends-and-a = Ein Gummibalg, an beiden Enden im Sitz, und ein Strang, der sich bei der Scharnierbewegung eher verdreht als knickt, auf jeder Seite geclipst.
looking-a-guide-or-sleeve-that-keeps-the-loop = Eine Führung oder Hülle, die den Kabelbaum über den ganzen Sitzweg von Schiene, Federn und Rahmen fernhält, an beiden Enden geclipst.
looking-a-whole-sealed-grommet-seated-all-round-so = Eine heile, dichte Tülle, ringsum im Sitz, sodass nichts näher als 9,5 mm an die blanke Kante kommt; keine Vorspannung an der Kante.
looking-clips-and-tape-at-most-610-mm-apart = Clips und Band im Abstand von höchstens 610 mm, hinter dem Airbag, wo es einen gibt; Wellrohr oder Kantenschutz an beiden Enden des Hohlraums.
looking-edge-trim-or-grommet-right-round-the-hole = Kantenschutz oder Tülle rund um das Loch, sodass nichts näher als 9,5 mm an die blanke Kante kommt; ein Clip auf jeder Seite.
looking-a-sleeve-right-round-the-loom-held-on = Ein Schlauch rund um den Kabelbaum, am Gestänge so gehalten, dass er sich eher verdreht als knickt und aus jeder Scherstelle bleibt.
looking-conduit-right-round-the-loom-clipped-to-body = Wellrohr rund um den Kabelbaum, an Karosserie und Scharnierarm geclipst, mit einer Schlaufe, die sich eher verdreht als knickt.
looking-a-whole-grommet-in-the-cover-plate-and = Eine heile Tülle im Abdeckblech und eine Leitung, die mindestens 51 mm (152 mm, wo Platz ist) von Kraftstoffleitungen entfernt geclipst ist.
looking-a-heat-sleeve-with-whole-ends-clips-at = Hitzeschutzschlauch mit heilen Enden, Clips im Abstand von höchstens 610 mm und das Hitzeschild zwischen Kabelbaum und Rohr.
looking-clips-at-most-610-mm-apart-above-the = Clips im Abstand von höchstens 610 mm über dem Tank und mindestens 51 mm (152 mm, wo Platz ist) von Kraftstoffleitungen entfernt.
looking-conduit-clipped-to-the-bar-every-610-mm = Wellrohr, mindestens alle 610 mm am Träger geclipst, eine Tülle im Stoßfänger und ein Steckdosendeckel, der schließt und ablaufen lässt.
looking-a-grommet-or-edge-trim-right-round-the = Eine Tülle oder Kantenschutz rund um den Ausschnitt, sodass kein Teil des Kabelbaums näher als 9,5 mm an die blanke Kante kommt; keine Vorspannung an der Kante.
looking-a-cable-guide-whose-links-follow-the-door = Eine Kabelführung, deren Glieder der Tür ohne Zug folgen, oder Kontaktplatten, die gerade aufeinandertreffen; das Kabel an beiden Enden geclipst.
looking-edge-trim-or-grommet-right-round-the-hole-2 = Kantenschutz oder Tülle rund um das Loch und Leitungen, die mindestens 51 mm (152 mm, wo Platz ist) von Kraftstoffleitungen entfernt geclipst sind.
looking-edge-trim-or-grommet-right-round-the-hole-3 = Kantenschutz oder Tülle rund um das Loch und Wellrohr rund um den Kabelbaum: der Rahmen selbst ist keine Hülle.
looking-a-whole-grommet-also-in-holes-made-later = Eine heile Tülle, auch in später gebohrten Löchern, sodass nichts näher als 9,5 mm an die blanke Kante kommt, und Spiel für die Bewegung der Ladefläche.
looking-conduit-right-round-the-loom-clipped-on-either = Wellrohr rund um den Kabelbaum, auf jeder Seite des Drehpunkts geclipst, mit einer Schlaufe, die sich eher verdreht als knickt.
looking-a-whole-grommet-seated-on-both-sides-so-2 = Eine heile Tülle, auf beiden Seiten im Sitz, sodass nichts näher als 9,5 mm an die blanke Kante kommt; ein Clip auf der Karosserieseite und auf der Motorseite Spiel für seine Bewegung.

## Cautions

looking-a-fan-can-start-by-itself-and-belts = Ein Lüfter kann von selbst anlaufen und Riemen laufen: Hände, Haare und Ärmel weit weg halten. Orange Leitungen führen Hochvolt: Halt; nur für Fachkundige.
looking-airbag-or-pretensioner-wiring-is-here-never-probe = Hier liegen Leitungen von Airbag oder Gurtstraffer: nie unter Spannung prüfen, drücken oder abstecken. Batterie abklemmen und so lange warten, wie der Hersteller vorschreibt.
looking-the-airbag-control-unit-often-sits-beneath-leave = Darunter sitzt oft das Airbag-Steuergerät: seine Stecker in Ruhe lassen, und Zündung aus, bevor es bewegt wird.
looking-a-door-may-hold-an-airbag-or-its = In der Tür kann ein Airbag oder sein Sensor sitzen: deren Stecker in Ruhe lassen. Scheibe und Fensterheber bewegen sich von selbst.
looking-seat-belt-pretensioner-and-side-airbag-leads-run = Leitungen von Gurtstraffer und Seitenairbag laufen am Schweller: nicht unter Spannung drücken oder abstecken.
looking-seat-belt-pretensioner-leads-may-pass-beneath-do = Darunter können Leitungen von Gurtstraffern liegen: nicht unter Spannung drücken oder abstecken.
looking-roll-over-hoops-behind-the-seats-spring-out = Überrollbügel hinter den Sitzen schnellen heraus: ihre Leitungen nie unter Spannung prüfen, drücken oder abstecken. Auch Leitungen von Airbag oder Gurtstraffer liegen hier: Batterie abklemmen und so lange warten, wie der Hersteller vorschreibt.
looking-a-folding-roof-moves-by-itself-and-with = Ein Verdeck bewegt sich von selbst und mit großer Kraft: Zündung aus, nie zwischen seine Teile greifen, solange es Strom hat, und nach Herstellervorschrift abstützen.
looking-hold-the-lid-up-springs-and-gas-struts = Deckel abstützen: Federn und Gasfedern versagen. Das Schloss bewegt sich von selbst.
looking-stands-under-the-makers-points-and-wheels-chocked = Böcke unter die Punkte des Herstellers, Räder mit Keilen sichern; nie allein auf den Wagenheber verlassen.
looking-exhaust-and-catalyst-stay-hot-long-after-a = Abgasanlage und Katalysator bleiben nach der Fahrt lange heiß: abkühlen lassen; Haut, Ärmel und Telefon fernhalten.
looking-a-fan-can-start-by-itself-and-belts-2 = Ein Lüfter kann von selbst anlaufen und Riemen laufen: Hände, Haare und Ärmel weit weg halten.
looking-metal-tools-bridge-the-battery-posts-cover-the = Metallwerkzeug überbrückt die Batteriepole: zuerst den Pluspol abdecken.
looking-a-fan-can-start-by-itself-and-belts-3 = Ein Lüfter kann von selbst anlaufen und Riemen laufen: Hände, Haare und Ärmel weit weg halten. Heiße Teile in der Nähe.
looking-stands-under-the-makers-points-and-wheels-chocked-2 = Böcke unter die Punkte des Herstellers, Räder mit Keilen sichern; nie allein auf den Wagenheber verlassen. Teile der Abgasanlage sind nahe und heiß.
looking-the-wipers-may-start-by-themselves-key-off = Die Wischer können von selbst anlaufen: Zündung aus, bevor in das Gestänge gegriffen wird.
looking-window-glass-and-regulator-move-by-themselves-keep = Scheibe und Fensterheber bewegen sich von selbst: Hände heraus, solange die Zündung ein ist.
looking-a-folding-roof-moves-by-itself-and-with-2 = Ein Verdeck bewegt sich von selbst und mit großer Kraft: Zündung aus, nie zwischen seine Teile greifen, solange es Strom hat, und nach Herstellervorschrift abstützen. Überrollbügel hinter den Sitzen schnellen heraus: ihre Leitungen nie unter Spannung prüfen, drücken oder abstecken. Auch Leitungen von Airbag oder Gurtstraffer liegen hier: Batterie abklemmen und so lange warten, wie der Hersteller vorschreibt.
looking-an-attached-trailer-must-be-unplugged-first = Ein angehängter Anhänger muss zuerst abgesteckt werden.
looking-stands-under-the-makers-points-and-wheels-chocked-3 = Böcke unter die Punkte des Herstellers, Räder mit Keilen sichern; nie allein auf den Wagenheber verlassen. Orange Leitungen führen Hochvolt: Halt; nur für Fachkundige.
looking-fuel-vapour-may-be-about-no-press-test = Hier kann Kraftstoffdampf sein: keine Druckprobe, nichts, was Funken schlägt, frische Luft. Böcke unter die Punkte des Herstellers, Räder mit Keilen sichern; nie allein auf den Wagenheber verlassen.
looking-fuel-vapour-may-be-about-no-press-test-2 = Hier kann Kraftstoffdampf sein: keine Druckprobe, nichts, was Funken schlägt, frische Luft.
looking-unplug-the-trailer-first-stands-under-the-makers = Zuerst den Anhänger abstecken. Böcke unter die Punkte des Herstellers, Räder mit Keilen sichern; nie allein auf den Wagenheber verlassen.
looking-side-airbag-and-seat-belt-leads-may-run = Dahinter können Leitungen von Seitenairbag und Gurt laufen: nicht unter Spannung drücken oder abstecken.
looking-prop-the-tailgate-gas-struts-fail = Heckklappe abstützen: Gasfedern versagen.
looking-prop-the-tailgate-gas-struts-fail-wiper-and = Heckklappe abstützen: Gasfedern versagen. Wischer und Schloss bewegen sich von selbst.
looking-seat-belt-pretensioner-leads-run-here-do-not = Hier laufen Leitungen von Gurtstraffern: nicht unter Spannung drücken oder abstecken.
looking-loads-shift-when-straps-come-off-two-people = Ladung verrutscht, wenn Gurte gelöst werden; bei schweren Gütern zu zweit.
looking-old-lining-has-sharp-screws-and-splinters-gloves = Alte Verkleidung hat scharfe Schrauben und Splitter: Handschuhe.
looking-a-powered-side-door-can-move-by-itself = Eine elektrische Seitentür kann sich von selbst bewegen: Zündung aus.
looking-the-door-can-roll-shut-hold-it-open = Die Tür kann zurollen: offen festhalten.
looking-wiper-and-latches-move-by-themselves-key-off = Wischer und Schlösser bewegen sich von selbst: Zündung aus, bevor hineingegriffen wird.
looking-seat-belt-pretensioner-and-side-airbag-leads-run-2 = In den hinteren Säulen laufen Leitungen von Gurtstraffer und Seitenairbag: nicht unter Spannung drücken oder abstecken.
looking-heavy-loads-two-people-liner-edges-cut-gloves = Schwere Lasten: zu zweit. Kanten der Ladewanne schneiden: Handschuhe.
looking-a-tailgate-without-its-straps-drops-support-it = Eine Heckklappe ohne ihre Fangbänder fällt herunter: abstützen.
looking-stands-under-the-makers-points-and-wheels-chocked-4 = Böcke unter die Punkte des Herstellers, Räder mit Keilen sichern; nie allein auf den Wagenheber verlassen. Die Kardanwelle dreht sich mit den Rädern. Orange Leitungen führen Hochvolt: Halt; nur für Fachkundige.
looking-keep-hands-out-of-hinge-and-strap = Hände aus Scharnier und Fangband halten.
looking-seat-belt-pretensioner-and-side-airbag-leads-run-3 = Daneben laufen Leitungen von Gurtstraffer und Seitenairbag: nicht unter Spannung drücken oder abstecken.
looking-a-fan-can-start-by-itself-and-belts-4 = Ein Lüfter kann von selbst anlaufen und Riemen laufen: Hände, Haare und Ärmel weit weg halten. Heiße Teile in der Nähe. Ein Verdeck bewegt sich von selbst und mit großer Kraft: Zündung aus, nie zwischen seine Teile greifen, solange es Strom hat, und nach Herstellervorschrift abstützen.
looking-a-radiator-fan-can-start-by-itself-keep = Ein Kühlerlüfter kann von selbst anlaufen: Hände, Haare und Ärmel weit weg halten. Orange Leitungen führen Hochvolt: Halt; nur für Fachkundige.
looking-a-radiator-fan-can-start-by-itself-keep-2 = Ein Kühlerlüfter kann von selbst anlaufen: Hände, Haare und Ärmel weit weg halten.
looking-stands-under-the-makers-points-and-wheels-chocked-5 = Böcke unter die Punkte des Herstellers, Räder mit Keilen sichern; nie allein auf den Wagenheber verlassen. Diese Leitung steht bis zur Batterie unter Spannung und hat oft keine Sicherung.
looking-a-fan-can-start-by-itself-and-belts-5 = Ein Lüfter kann von selbst anlaufen und Riemen laufen: Hände, Haare und Ärmel weit weg halten. Heiße Teile in der Nähe. Hier liegen Leitungen von Airbag oder Gurtstraffer: nie unter Spannung prüfen, drücken oder abstecken. Batterie abklemmen und so lange warten, wie der Hersteller vorschreibt.
looking-stands-under-the-makers-points-and-wheels-chocked-6 = Böcke unter die Punkte des Herstellers, Räder mit Keilen sichern; nie allein auf den Wagenheber verlassen. Teile der Abgasanlage sind nahe und heiß. Orange Leitungen führen Hochvolt: Halt; nur für Fachkundige.
