# What to look for at a place, what should protect the loom there, cautions and notes.

## Where the engine is

looking-the-engine-is-behind-the-seats-engine-left = Der Motor sitzt hinter den Sitzen: „Motorraum links“, „Motorraum rechts“ und „Getriebe oben“ sind dort. Was zur Karosserie gehört und sonst neben dem Motor sitzt, etwa die Bremseinheit, wird im vorderen Gepäckraum angenommen; Batterie und Kühler werden vorn angenommen.
looking-the-engine-is-at-the-rear-engine-left = Der Motor sitzt hinten: „Motorraum links“, „Motorraum rechts“ und „Getriebe oben“ sind unter dem Ladeboden. Was zur Karosserie gehört und sonst neben dem Motor sitzt, etwa die Bremseinheit, wird im vorderen Gepäckraum angenommen; Batterie und Kühler werden vorn angenommen.
looking-the-engine-is-under-the-front-seats-engine = Der Motor sitzt unter den Vordersitzen: „Motorraum links“, „Motorraum rechts“ und „Getriebe oben“ sind dort, und im Vorbau ist kein Motor. Was zur Karosserie gehört und sonst neben dem Motor sitzt, etwa die Bremseinheit, wird im Vorbau angenommen; Batterie und Kühler werden vorn angenommen.
looking-the-engine-is-at-the-rear-where-others = Der Motor sitzt hinten, wo andere den Kofferraum haben: „Motorraum links“, „Motorraum rechts“ und „Getriebe oben“ sind dort, und „Laderaum“ ist der Raum hinter der Rückbank. Was zur Karosserie gehört und sonst neben dem Motor sitzt, etwa die Bremseinheit, wird im vorderen Gepäckraum angenommen; Batterie und Kühler werden vorn angenommen.
