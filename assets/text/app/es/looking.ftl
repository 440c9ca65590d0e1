# What to look for at a place, what should protect the loom there, cautions and notes.

## Where the engine is

looking-the-engine-is-behind-the-seats-engine-left = El motor está detrás de los asientos: «motor izquierdo», «motor derecho» y «parte superior de la caja de cambios» están ahí. Lo que es de la carrocería y suele estar junto al motor, como la unidad de freno, se supone en el maletero delantero; la batería y el radiador se suponen delante.
looking-the-engine-is-at-the-rear-engine-left = El motor está detrás: «motor izquierdo», «motor derecho» y «parte superior de la caja de cambios» están bajo el piso de carga. Lo que es de la carrocería y suele estar junto al motor, como la unidad de freno, se supone en el maletero delantero; la batería y el radiador se suponen delante.
looking-the-engine-is-under-the-front-seats-engine = El motor está bajo los asientos delanteros: «motor izquierdo», «motor derecho» y «parte superior de la caja de cambios» están ahí, y en el morro no hay motor. Lo que es de la carrocería y suele estar junto al motor, como la unidad de freno, se supone en el morro; la batería y el radiador se suponen delante.
looking-the-engine-is-at-the-rear-where-others = El motor está detrás, donde otros llevan el maletero: «motor izquierdo», «motor derecho» y «parte superior de la caja de cambios» están ahí, y «zona de carga» es el espacio detrás del asiento trasero. Lo que es de la carrocería y suele estar junto al motor, como la unidad de freno, se supone en el maletero delantero; la batería y el radiador se suponen delante.

## What protects the loom

looking-clips-at-most-610-mm-apart-or-a = Grapas cada 610 mm como máximo, o canaleta en todo el recorrido; como máximo 13 mm de holgura con fuerza moderada de la mano.
looking-conduit-with-taped-ends-clips-at-most-610 = Tubo corrugado con extremos encintados, grapas cada 610 mm como máximo y solo la holgura que pide el balanceo del motor.
looking-conduit-right-round-the-loom-with-both-ends = Tubo corrugado alrededor de todo el mazo, con ambos extremos encintados y el punto más bajo abierto para desaguar; grapas cada 610 mm como máximo, como máximo 13 mm de holgura.
looking-a-whole-grommet-seated-all-round-so-that = Un pasacables entero y asentado en todo su contorno, de modo que nada quede a menos de 9,5 mm del borde desnudo, y holgura en el lado de la rueda para el giro y la extensión de la suspensión.
looking-a-whole-grommet-seated-on-both-sides-so = Un pasacables entero y asentado por ambos lados, de modo que nada quede a menos de 9,5 mm del borde desnudo; una grapa a cada lado aguanta el tirón.
looking-the-moving-coils-own-housing-and-a-loop = La carcasa propia del anillo de contacto del volante y un bucle sujeto con grapas en ambos extremos que ninguna posición de altura, profundidad o volante pueda tensar.
looking-a-boot-seated-at-both-ends-and-a = Un fuelle asentado en ambos extremos y un haz que se retuerce en vez de doblarse al moverse la bisagra, con grapa a cada lado.
looking-a-guide-or-sleeve-that-keeps-the-loop = Una guía o funda que mantenga el mazo apartado del raíl, los muelles y el armazón en todo el recorrido del asiento, con grapas en ambos extremos.
looking-a-whole-sealed-grommet-seated-all-round-so = Un pasacables entero y estanco, asentado en todo su contorno, de modo que nada quede a menos de 9,5 mm del borde desnudo; sin tensión previa contra el borde.
looking-clips-and-tape-at-most-610-mm-apart = Grapas y cinta cada 610 mm como máximo, por detrás del airbag donde lo haya; tubo corrugado o protector de cantos en ambos extremos del hueco.
looking-edge-trim-or-grommet-right-round-the-hole = Protector de cantos o pasacables en todo el contorno del agujero, de modo que nada quede a menos de 9,5 mm del borde desnudo; una grapa a cada lado.
looking-a-sleeve-right-round-the-loom-held-on = Una funda alrededor de todo el mazo, sujeta a las articulaciones de modo que se retuerza en vez de doblarse y quede fuera de todo punto de cizalla.
looking-conduit-right-round-the-loom-clipped-to-body = Tubo corrugado alrededor de todo el mazo, con grapas en la carrocería y en el brazo de bisagra, y un bucle que se retuerce en vez de doblarse.
looking-a-whole-grommet-in-the-cover-plate-and = Un pasacables entero en la placa de cierre y un cable sujeto con grapas a 51 mm como mínimo (152 mm donde haya sitio) de los tubos de combustible.
looking-a-heat-sleeve-with-whole-ends-clips-at = Funda térmica con los extremos enteros, grapas cada 610 mm como máximo y el protector térmico entre el mazo y el tubo.
looking-clips-at-most-610-mm-apart-above-the = Grapas cada 610 mm como máximo por encima del depósito y a 51 mm como mínimo (152 mm donde haya sitio) de los tubos de combustible.
looking-conduit-clipped-to-the-bar-every-610-mm = Tubo corrugado con grapas en la barra cada 610 mm como máximo, un pasacables en el parachoques y una tapa de la toma que cierre y desagüe.
looking-a-grommet-or-edge-trim-right-round-the = Un pasacables o protector de cantos en todo el contorno del recorte, de modo que ninguna parte del mazo quede a menos de 9,5 mm del borde desnudo; sin tensión previa contra el borde.
looking-a-cable-guide-whose-links-follow-the-door = Una guía de cables cuyos eslabones sigan a la puerta sin tirar, o placas de contacto que se encuentren a escuadra; el cable sujeto con grapas en ambos extremos.
looking-edge-trim-or-grommet-right-round-the-hole-2 = Protector de cantos o pasacables en todo el contorno del agujero y cables sujetos con grapas a 51 mm como mínimo (152 mm donde haya sitio) de los tubos de combustible.
looking-edge-trim-or-grommet-right-round-the-hole-3 = Protector de cantos o pasacables en todo el contorno del agujero y tubo corrugado alrededor de todo el mazo: el chasis en sí no es una funda.
looking-a-whole-grommet-also-in-holes-made-later = Un pasacables entero, también en los agujeros hechos después, de modo que nada quede a menos de 9,5 mm del borde desnudo, y holgura para el movimiento de la caja.
looking-conduit-right-round-the-loom-clipped-on-either = Tubo corrugado alrededor de todo el mazo, con grapa a cada lado de la articulación y un bucle que se retuerce en vez de doblarse.
looking-a-whole-grommet-seated-on-both-sides-so-2 = Un pasacables entero y asentado por ambos lados, de modo que nada quede a menos de 9,5 mm del borde desnudo; una grapa en el lado de la carrocería y, en el lado del motor, holgura para su balanceo.

## Cautions

looking-a-fan-can-start-by-itself-and-belts = Un ventilador puede arrancar solo y las correas giran: mantener manos, pelo y mangas bien apartados. Los cables naranjas llevan alta tensión: parar; solo personal cualificado.
looking-airbag-or-pretensioner-wiring-is-here-never-probe = Aquí hay cables de airbag o pretensor: nunca medirlos, presionarlos ni desenchufarlos con tensión. Desconectar la batería y esperar el tiempo que indique el fabricante.
looking-the-airbag-control-unit-often-sits-beneath-leave = La centralita del airbag suele estar debajo: no tocar sus conectores, y contacto quitado antes de moverla.
looking-a-door-may-hold-an-airbag-or-its = La puerta puede llevar un airbag o su sensor: no tocar sus conectores. El cristal y el elevalunas se mueven solos.
looking-seat-belt-pretensioner-and-side-airbag-leads-run = Los cables del pretensor y del airbag lateral van por el estribo: no presionarlos ni desenchufarlos con tensión.
looking-seat-belt-pretensioner-leads-may-pass-beneath-do = Por debajo pueden pasar cables del pretensor: no presionarlos ni desenchufarlos con tensión.
looking-roll-over-hoops-behind-the-seats-spring-out = Los arcos antivuelco detrás de los asientos saltan hacia fuera: nunca medir, presionar ni desenchufar sus cables con tensión. También hay aquí cables de airbag o pretensor: desconectar la batería y esperar el tiempo que indique el fabricante.
looking-a-folding-roof-moves-by-itself-and-with = Una capota se mueve sola y con mucha fuerza: contacto quitado, no meter nunca la mano entre sus piezas mientras tenga corriente, y apuntalarla como indique el fabricante.
looking-hold-the-lid-up-springs-and-gas-struts = Sujetar la tapa en alto: los muelles y los amortiguadores de gas fallan. La cerradura se mueve sola.
looking-stands-under-the-makers-points-and-wheels-chocked = Borriquetas bajo los puntos del fabricante y ruedas calzadas; no fiarse nunca solo del gato.
looking-exhaust-and-catalyst-stay-hot-long-after-a = El escape y el catalizador siguen calientes mucho después de circular: dejarlos enfriar; mantener alejados la piel, las mangas y el teléfono.
looking-a-fan-can-start-by-itself-and-belts-2 = Un ventilador puede arrancar solo y las correas giran: mantener manos, pelo y mangas bien apartados.
looking-metal-tools-bridge-the-battery-posts-cover-the = Las herramientas metálicas puentean los bornes de la batería: cubrir primero el borne positivo.
looking-a-fan-can-start-by-itself-and-belts-3 = Un ventilador puede arrancar solo y las correas giran: mantener manos, pelo y mangas bien apartados. Hay piezas calientes cerca.
looking-stands-under-the-makers-points-and-wheels-chocked-2 = Borriquetas bajo los puntos del fabricante y ruedas calzadas; no fiarse nunca solo del gato. Hay piezas del escape cerca y calientes.
looking-the-wipers-may-start-by-themselves-key-off = Los limpiaparabrisas pueden arrancar solos: contacto quitado antes de meter la mano en el varillaje.
looking-window-glass-and-regulator-move-by-themselves-keep = El cristal y el elevalunas se mueven solos: no meter las manos con el contacto puesto.
looking-a-folding-roof-moves-by-itself-and-with-2 = Una capota se mueve sola y con mucha fuerza: contacto quitado, no meter nunca la mano entre sus piezas mientras tenga corriente, y apuntalarla como indique el fabricante. Los arcos antivuelco detrás de los asientos saltan hacia fuera: nunca medir, presionar ni desenchufar sus cables con tensión. También hay aquí cables de airbag o pretensor: desconectar la batería y esperar el tiempo que indique el fabricante.
looking-an-attached-trailer-must-be-unplugged-first = Si hay un remolque enganchado, hay que desenchufarlo primero.
looking-stands-under-the-makers-points-and-wheels-chocked-3 = Borriquetas bajo los puntos del fabricante y ruedas calzadas; no fiarse nunca solo del gato. Los cables naranjas llevan alta tensión: parar; solo personal cualificado.
looking-fuel-vapour-may-be-about-no-press-test = Puede haber vapor de combustible: aquí ninguna prueba de presión, nada que haga chispas, aire fresco. Borriquetas bajo los puntos del fabricante y ruedas calzadas; no fiarse nunca solo del gato.
looking-fuel-vapour-may-be-about-no-press-test-2 = Puede haber vapor de combustible: aquí ninguna prueba de presión, nada que haga chispas, aire fresco.
looking-unplug-the-trailer-first-stands-under-the-makers = Desenchufar primero el remolque. Borriquetas bajo los puntos del fabricante y ruedas calzadas; no fiarse nunca solo del gato.
looking-side-airbag-and-seat-belt-leads-may-run = Por detrás pueden ir cables del airbag lateral y del cinturón: no presionarlos ni desenchufarlos con tensión.
looking-prop-the-tailgate-gas-struts-fail = Apuntalar el portón: los amortiguadores de gas fallan.
looking-prop-the-tailgate-gas-struts-fail-wiper-and = Apuntalar el portón: los amortiguadores de gas fallan. El limpiaparabrisas y la cerradura se mueven solos.
looking-seat-belt-pretensioner-leads-run-here-do-not = Por aquí van cables del pretensor: no presionarlos ni desenchufarlos con tensión.
looking-loads-shift-when-straps-come-off-two-people = La carga se mueve al soltar las cinchas; dos personas para lo pesado.
looking-old-lining-has-sharp-screws-and-splinters-gloves = El revestimiento viejo tiene tornillos cortantes y astillas: guantes.
looking-a-powered-side-door-can-move-by-itself = Una puerta lateral eléctrica puede moverse sola: contacto quitado.
looking-the-door-can-roll-shut-hold-it-open = La puerta puede cerrarse rodando: sujetarla abierta.
looking-wiper-and-latches-move-by-themselves-key-off = El limpiaparabrisas y las cerraduras se mueven solos: contacto quitado antes de meter la mano.
looking-seat-belt-pretensioner-and-side-airbag-leads-run-2 = Los cables del pretensor y del airbag lateral van por los montantes traseros: no presionarlos ni desenchufarlos con tensión.
looking-heavy-loads-two-people-liner-edges-cut-gloves = Cargas pesadas: dos personas. Los bordes del forro cortan: guantes.
looking-a-tailgate-without-its-straps-drops-support-it = Un portón sin sus tirantes cae: sujetarlo.
looking-stands-under-the-makers-points-and-wheels-chocked-4 = Borriquetas bajo los puntos del fabricante y ruedas calzadas; no fiarse nunca solo del gato. El árbol de transmisión gira con las ruedas. Los cables naranjas llevan alta tensión: parar; solo personal cualificado.
looking-keep-hands-out-of-hinge-and-strap = No meter las manos en la bisagra ni en el tirante.
looking-seat-belt-pretensioner-and-side-airbag-leads-run-3 = Al lado van cables del pretensor y del airbag lateral: no presionarlos ni desenchufarlos con tensión.
looking-a-fan-can-start-by-itself-and-belts-4 = Un ventilador puede arrancar solo y las correas giran: mantener manos, pelo y mangas bien apartados. Hay piezas calientes cerca. Una capota se mueve sola y con mucha fuerza: contacto quitado, no meter nunca la mano entre sus piezas mientras tenga corriente, y apuntalarla como indique el fabricante.
looking-a-radiator-fan-can-start-by-itself-keep = Un ventilador del radiador puede arrancar solo: mantener manos, pelo y mangas bien apartados. Los cables naranjas llevan alta tensión: parar; solo personal cualificado.
looking-a-radiator-fan-can-start-by-itself-keep-2 = Un ventilador del radiador puede arrancar solo: mantener manos, pelo y mangas bien apartados.
looking-stands-under-the-makers-points-and-wheels-chocked-5 = Borriquetas bajo los puntos del fabricante y ruedas calzadas; no fiarse nunca solo del gato. Este cable tiene tensión hasta la batería y a menudo no lleva fusible.
looking-a-fan-can-start-by-itself-and-belts-5 = Un ventilador puede arrancar solo y las correas giran: mantener manos, pelo y mangas bien apartados. Hay piezas calientes cerca. Aquí hay cables de airbag o pretensor: nunca medirlos, presionarlos ni desenchufarlos con tensión. Desconectar la batería y esperar el tiempo que indique el fabricante.
looking-stands-under-the-makers-points-and-wheels-chocked-6 = Borriquetas bajo los puntos del fabricante y ruedas calzadas; no fiarse nunca solo del gato. Hay piezas del escape cerca y calientes. Los cables naranjas llevan alta tensión: parar; solo personal cualificado.
