# What to look for at a place, what should protect the loom there, cautions and notes.

## Where the engine is

looking-the-engine-is-behind-the-seats-engine-left = The engine is behind the seats: "engine left", "engine right" and "gearbox top" are there. What belongs to the body and usually sits beside the engine, such as the brake unit, is taken to be in the front luggage space; battery and radiator are taken to be in front.
looking-the-engine-is-at-the-rear-engine-left = The engine is at the rear: "engine left", "engine right" and "gearbox top" are under the load floor. What belongs to the body and usually sits beside the engine, such as the brake unit, is taken to be in the front luggage space; battery and radiator are taken to be in front.
looking-the-engine-is-under-the-front-seats-engine = The engine is under the front seats: "engine left", "engine right" and "gearbox top" are there, and the nose holds no engine. What belongs to the body and usually sits beside the engine, such as the brake unit, is taken to be in the nose; battery and radiator are taken to be in front.
looking-the-engine-is-at-the-rear-where-others = The engine is at the rear, where others have the boot: "engine left", "engine right" and "gearbox top" are there, and "load area" is the space behind the rear seat. What belongs to the body and usually sits beside the engine, such as the brake unit, is taken to be in the front luggage space; battery and radiator are taken to be in front.
