# What to look for at a place, what should protect the loom there, cautions and notes.

## Where the engine is

looking-the-engine-is-behind-the-seats-engine-left = The engine is behind the seats: "engine left", "engine right" and "gearbox top" are there. What belongs to the body and usually sits beside the engine, such as the brake unit, is taken to be in the front luggage space; battery and radiator are taken to be in front.
looking-the-engine-is-at-the-rear-engine-left = The engine is at the rear: "engine left", "engine right" and "gearbox top" are under the load floor. What belongs to the body and usually sits beside the engine, such as the brake unit, is taken to be in the front luggage space; battery and radiator are taken to be in front.
looking-the-engine-is-under-the-front-seats-engine = The engine is under the front seats: "engine left", "engine right" and "gearbox top" are there, and the nose holds no engine. What belongs to the body and usually sits beside the engine, such as the brake unit, is taken to be in the nose; battery and radiator are taken to be in front.
looking-the-engine-is-at-the-rear-where-others = The engine is at the rear, where others have the boot: "engine left", "engine right" and "gearbox top" are there, and "load area" is the space behind the rear seat. What belongs to the body and usually sits beside the engine, such as the brake unit, is taken to be in the front luggage space; battery and radiator are taken to be in front.

## What protects the loom

looking-clips-at-most-610-mm-apart-or-a = Clips at most 610 mm apart, or a channel all the way; at most 13 mm of slack under moderate hand force.
looking-conduit-with-taped-ends-clips-at-most-610 = Conduit with taped ends, clips at most 610 mm apart, and only as much slack as the engine's rock needs.
looking-conduit-right-round-the-loom-with-both-ends = Conduit right round the loom with both ends taped and its low point open to drain; clips at most 610 mm apart, at most 13 mm of slack.
looking-a-whole-grommet-seated-all-round-so-that = A whole grommet seated all round, so that nothing comes within 9.5 mm of the bare edge, and slack on the wheel's side for lock and droop.
looking-a-whole-grommet-seated-on-both-sides-so = A whole grommet seated on both sides, so that nothing comes within 9.5 mm of the bare edge; a clip on either side takes the pull.
looking-the-moving-coils-own-housing-and-a-loop = The moving coil's own housing, and a loop clipped at both ends that no position of tilt, reach or wheel can stretch.
looking-a-boot-seated-at-both-ends-and-a = A boot seated at both ends, and a bundle that twists rather than bends as the hinge works, clipped on either side.
looking-a-guide-or-sleeve-that-keeps-the-loop = A guide or sleeve that keeps the loop off rail, springs and frame over the seat's whole travel, clipped at both ends.
looking-a-whole-sealed-grommet-seated-all-round-so = A whole, sealed grommet seated all round, so that nothing comes within 9.5 mm of the bare edge; no preload on the edge.
looking-clips-and-tape-at-most-610-mm-apart = Clips and tape at most 610 mm apart, behind the airbag where there is one; conduit or edge trim at both ends of the hollow.
looking-edge-trim-or-grommet-right-round-the-hole = Edge trim or grommet right round the hole, so that nothing comes within 9.5 mm of the bare edge; a clip on either side.
looking-a-sleeve-right-round-the-loom-held-on = A sleeve right round the loom, held on the links so that it twists rather than bends and stays out of every scissor point.
looking-conduit-right-round-the-loom-clipped-to-body = Conduit right round the loom, clipped to body and hinge arm, with a loop that twists rather than bends.
looking-a-whole-grommet-in-the-cover-plate-and = A whole grommet in the cover plate, and a lead clipped at least 51 mm (152 mm where there is room) from fuel pipes.
looking-a-heat-sleeve-with-whole-ends-clips-at = A heat sleeve with whole ends, clips at most 610 mm apart, and the shield between loom and pipe.
looking-clips-at-most-610-mm-apart-above-the = Clips at most 610 mm apart above the tank, and at least 51 mm (152 mm where there is room) from fuel pipes.
looking-conduit-clipped-to-the-bar-every-610-mm = Conduit clipped to the bar every 610 mm at most, a grommet in the bumper, and a socket cover that shuts and drains.
looking-a-grommet-or-edge-trim-right-round-the = A grommet, or edge trim right round the cut-out, so that no part of the loom comes within 9.5 mm of the bare edge; no preload on the edge.
looking-a-cable-guide-whose-links-follow-the-door = A cable guide whose links follow the door without pulling, or contact plates that meet squarely; the cable clipped at both ends.
looking-edge-trim-or-grommet-right-round-the-hole-2 = Edge trim or grommet right round the hole, and leads clipped at least 51 mm (152 mm where there is room) from fuel pipes.
looking-edge-trim-or-grommet-right-round-the-hole-3 = Edge trim or grommet right round the hole and conduit right round the loom: the frame itself is no sheath.
looking-a-whole-grommet-also-in-holes-made-later = A whole grommet, also in holes made later, so that nothing comes within 9.5 mm of the bare edge, and slack for the bed's movement.
looking-conduit-right-round-the-loom-clipped-on-either = Conduit right round the loom, clipped on either side of the pivot, with a loop that twists rather than bends.
looking-a-whole-grommet-seated-on-both-sides-so-2 = A whole grommet seated on both sides, so that nothing comes within 9.5 mm of the bare edge; a clip on the body's side, and on the engine's side slack for its rock.

## Cautions

looking-a-fan-can-start-by-itself-and-belts = A fan can start by itself and belts turn: keep hands, hair and sleeves well clear. Orange cables carry high voltage: stop; qualified people only.
looking-airbag-or-pretensioner-wiring-is-here-never-probe = Airbag or pretensioner wiring is here: never probe, press or unplug it live. Disconnect the battery and wait as long as the maker says.
looking-the-airbag-control-unit-often-sits-beneath-leave = The airbag control unit often sits beneath: leave its plugs alone, and key off before it is disturbed.
looking-a-door-may-hold-an-airbag-or-its = A door may hold an airbag or its sensor: leave their plugs alone. Window glass and regulator move by themselves.
looking-seat-belt-pretensioner-and-side-airbag-leads-run = Seat-belt pretensioner and side airbag leads run along the sill: do not press or unplug them live.
looking-seat-belt-pretensioner-leads-may-pass-beneath-do = Seat-belt pretensioner leads may pass beneath: do not press or unplug them live.
looking-roll-over-hoops-behind-the-seats-spring-out = Roll-over hoops behind the seats spring out: never probe, press or unplug their wiring live. Airbag or pretensioner wiring is here too: disconnect the battery and wait as long as the maker says.
looking-a-folding-roof-moves-by-itself-and-with = A folding roof moves by itself and with great force: key off, never reach between its parts while it is powered, and support it as the maker says.
looking-hold-the-lid-up-springs-and-gas-struts = Hold the lid up: springs and gas struts fail. The latch moves by itself.
looking-stands-under-the-makers-points-and-wheels-chocked = Stands under the maker's points and wheels chocked; never rely on a jack alone.
looking-exhaust-and-catalyst-stay-hot-long-after-a = Exhaust and catalyst stay hot long after a drive: let them cool; keep skin, sleeves and the phone away.
looking-a-fan-can-start-by-itself-and-belts-2 = A fan can start by itself and belts turn: keep hands, hair and sleeves well clear.
looking-metal-tools-bridge-the-battery-posts-cover-the = Metal tools bridge the battery posts: cover the positive post first.
looking-a-fan-can-start-by-itself-and-belts-3 = A fan can start by itself and belts turn: keep hands, hair and sleeves well clear. Hot parts nearby.
looking-stands-under-the-makers-points-and-wheels-chocked-2 = Stands under the maker's points and wheels chocked; never rely on a jack alone. Exhaust parts are close and hot.
looking-the-wipers-may-start-by-themselves-key-off = The wipers may start by themselves: key off before reaching into the linkage.
looking-window-glass-and-regulator-move-by-themselves-keep = Window glass and regulator move by themselves: keep hands out while the key is on.
looking-a-folding-roof-moves-by-itself-and-with-2 = A folding roof moves by itself and with great force: key off, never reach between its parts while it is powered, and support it as the maker says. Roll-over hoops behind the seats spring out: never probe, press or unplug their wiring live. Airbag or pretensioner wiring is here too: disconnect the battery and wait as long as the maker says.
looking-an-attached-trailer-must-be-unplugged-first = An attached trailer must be unplugged first.
looking-stands-under-the-makers-points-and-wheels-chocked-3 = Stands under the maker's points and wheels chocked; never rely on a jack alone. Orange cables carry high voltage: stop; qualified people only.
looking-fuel-vapour-may-be-about-no-press-test = Fuel vapour may be about: no press test here, nothing that sparks, fresh air. Stands under the maker's points and wheels chocked; never rely on a jack alone.
looking-fuel-vapour-may-be-about-no-press-test-2 = Fuel vapour may be about: no press test here, nothing that sparks, fresh air.
looking-unplug-the-trailer-first-stands-under-the-makers = Unplug the trailer first. Stands under the maker's points and wheels chocked; never rely on a jack alone.
looking-side-airbag-and-seat-belt-leads-may-run = Side airbag and seat-belt leads may run behind it: do not press or unplug them live.
looking-prop-the-tailgate-gas-struts-fail = Prop the tailgate: gas struts fail.
looking-prop-the-tailgate-gas-struts-fail-wiper-and = Prop the tailgate: gas struts fail. Wiper and latch move by themselves.
looking-seat-belt-pretensioner-leads-run-here-do-not = Seat-belt pretensioner leads run here: do not press or unplug them live.
looking-loads-shift-when-straps-come-off-two-people = Loads shift when straps come off; two people for heavy goods.
looking-old-lining-has-sharp-screws-and-splinters-gloves = Old lining has sharp screws and splinters: gloves.
looking-a-powered-side-door-can-move-by-itself = A powered side door can move by itself: key off.
looking-the-door-can-roll-shut-hold-it-open = The door can roll shut: hold it open.
looking-wiper-and-latches-move-by-themselves-key-off = Wiper and latches move by themselves: key off before reaching in.
looking-seat-belt-pretensioner-and-side-airbag-leads-run-2 = Seat-belt pretensioner and side airbag leads run in the rear pillars: do not press or unplug them live.
looking-heavy-loads-two-people-liner-edges-cut-gloves = Heavy loads: two people. Liner edges cut: gloves.
looking-a-tailgate-without-its-straps-drops-support-it = A tailgate without its straps drops: support it.
looking-stands-under-the-makers-points-and-wheels-chocked-4 = Stands under the maker's points and wheels chocked; never rely on a jack alone. The propshaft turns when the wheels do. Orange cables carry high voltage: stop; qualified people only.
looking-keep-hands-out-of-hinge-and-strap = Keep hands out of hinge and strap.
looking-seat-belt-pretensioner-and-side-airbag-leads-run-3 = Seat-belt pretensioner and side airbag leads run beside it: do not press or unplug them live.
looking-a-fan-can-start-by-itself-and-belts-4 = A fan can start by itself and belts turn: keep hands, hair and sleeves well clear. Hot parts nearby. A folding roof moves by itself and with great force: key off, never reach between its parts while it is powered, and support it as the maker says.
looking-a-radiator-fan-can-start-by-itself-keep = A radiator fan can start by itself: keep hands, hair and sleeves well clear. Orange cables carry high voltage: stop; qualified people only.
looking-a-radiator-fan-can-start-by-itself-keep-2 = A radiator fan can start by itself: keep hands, hair and sleeves well clear.
looking-stands-under-the-makers-points-and-wheels-chocked-5 = Stands under the maker's points and wheels chocked; never rely on a jack alone. This cable is live up to the battery and often has no fuse.
looking-a-fan-can-start-by-itself-and-belts-5 = A fan can start by itself and belts turn: keep hands, hair and sleeves well clear. Hot parts nearby. Airbag or pretensioner wiring is here: never probe, press or unplug it live. Disconnect the battery and wait as long as the maker says.
looking-stands-under-the-makers-points-and-wheels-chocked-6 = Stands under the maker's points and wheels chocked; never rely on a jack alone. Exhaust parts are close and hot. Orange cables carry high voltage: stop; qualified people only.
