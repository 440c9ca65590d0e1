# Español.

# at_desk
parts-desk-asking = Preguntando al mostrador …
parts-desk-no-jobs = No se pueden mostrar los trabajos del mostrador: { $why }.
parts-desk-taking = Trayendo el trabajo a este teléfono …
parts-desk-here-now = El trabajo ya está en este teléfono.
parts-desk-not-taken = El trabajo no se ha traído: { $why }.
parts-desk-at = En el mostrador
parts-desk-all-here = No hay otro trabajo allí: lo que el mostrador tiene de estos está en este teléfono.
parts-desk-closed = Cerrado
parts-desk-find = Buscar un trabajo en el mostrador
parts-desk-find-hint = Vehículo, fusible o avería: también los entregados. Vacío: todos los abiertos
parts-desk-no-concern = Trabajo sin avería descrita
parts-desk-older-pre = Estos son los últimos modificados. El mostrador tiene
parts-desk-older-one = 1 más antiguo
parts-desk-older = { $n } más antiguos
parts-desk-again = Preguntar de nuevo al mostrador
parts-desk-show = Ver trabajos del mostrador

# beside
parts-beside-why = Por qué va primero: { $why }.
parts-beside-also = Antes de cerrar, mirar también aquí
parts-beside-second = Un segundo punto pelado suele estar cerca del primero: { $found }.
parts-beside-moved = Lo que eso movió: { $what }
parts-beside-test = Una prueba que ahorra más que mirar
parts-beside-press = Presionar allí
parts-beside-blew = Hecho: se fundió igualmente
parts-beside-held = Hecho: aguantó
parts-beside-note = Anotar el resultado
parts-beside-course = Cuánto tarda este orden en encontrarlo
parts-beside-axes = Horizontal: minutos. Vertical: la probabilidad de haberlo encontrado hasta entonces. Línea gruesa: este orden; rayas: según la lista; puntos: primero lo más probable.

# doubts
parts-doubts-right = ¿Es correcta la lista?
parts-doubts-speaks = Qué lo indica
parts-doubts-tells = Qué lo aclara: { $check }
parts-doubts-unplug = Qué desenchufar

# frame
parts-back = Volver
parts-newer = Versión más nueva
parts-newer-ready = Hay una versión más nueva lista. Todo está guardado; la app vuelve a empezar aquí mismo.
parts-newer-take = Usarla ahora
parts-read-it = Leído
parts-what-to-do = Qué hacer aquí
parts-way-concern = Problema
parts-way-circuit = Circuito
parts-way-handover = Entrega
parts-way-go-to = Ir a
parts-way-through = El camino por este trabajo
parts-way-all-jobs = Todos los trabajos
parts-job-unshown = Este trabajo no se puede mostrar
parts-job-reading = Leyendo el trabajo …

# fuse_card
parts-jam-fuse = { $load }: si está atascado, por el fusible pasan unos { $current } y { $does } ({ $state }).
parts-jam-breaker = { $load }: si está atascado, por el disyuntor pasan unos { $current } y { $does } ({ $state }).
parts-jams-intro = También un motor que no puede girar lo hace saltar. Comprobar que gira libre antes de buscar un cable rozado:
parts-jams-how = Calculado con la resistencia del motor parado, entre { $n } y { $n2 } veces menor que en marcha, y todo lo demás en marcha.
parts-fuse-does = Qué hace el fusible
parts-touch-stated = Se supone que un cable que roza toca durante { $span }, con cualquier duración intermedia igual de probable en escala logarítmica: indicado en este trabajo, y aun así una suposición, no una medición. Los contactos más largos hacen más probable un sitio lejano en un cable fino. Un cambio cuenta enseguida: el orden del recorrido se calcula de nuevo.
parts-touch-assumed = Se supone que un cable que roza toca durante { $span }, con cualquier duración intermedia igual de probable en escala logarítmica: una suposición, no una medición. Los contactos más largos hacen más probable un sitio lejano en un cable fino. Un cambio cuenta enseguida: el orden del recorrido se calcula de nuevo.
parts-touch-not-time = «{ $text }» no es un tiempo: escribir segundos mayores que 0, como 0,002 o 2.
parts-touch-shortest = Contacto más corto, segundos
parts-touch-longest = Contacto más largo, segundos
parts-touch-shipped = Valores de origen

# groups
parts-groups-title = Tachar lo que va junto: { $n }
parts-groups-true = Cierto en este vehículo
parts-groups-struck = · tachado:
parts-groups-strikes = · tacha:

# hold
parts-hold-over = los { $n } minutos han pasado
parts-hold-left = quedan { $n } de { $n2 } minutos
parts-hold-reach-zone = solo lo que está abierto, a la vista o en «{ $zone }»
parts-hold-reach = solo lo que está abierto o a la vista
parts-hold-one-waits = 1 sitio espera a otra ocasión, con una probabilidad de { $chance }
parts-hold-wait = { $n } sitios esperan a otra ocasión, con una probabilidad de { $chance }
parts-hold-now = Solo por ahora: { $what }.
parts-hold-whole = Mostrar todo el recorrido
parts-hold-short = ¿Poco tiempo, o sin moverse?
parts-hold-have = Dispongo de
parts-hold-minutes = { $n } minutos
parts-hold-worth = El recorrido va entonces a lo que más merece la pena en ese tiempo.
parts-hold-from-here = Solo desde aquí
parts-hold-from-zone = Solo desde aquí ({ $zone })
parts-hold-leaves-out = Omite lo que exige abrir algo, salvo en la zona donde se está trabajando.

# keep_on_shelf
parts-shelf-keep = Guardar el circuito en el estante
parts-shelf-practice = Es un trabajo de práctica: su circuito es inventado. En el estante estaría entre los de vehículos reales.
parts-shelf-keep-anyway = Guardarlo de todos modos
parts-shelf-on-kept = En el estante, guardado el { $day }:
parts-shelf-not-put = El circuito no se ha puesto en el estante: { $why }.
parts-shelf-now-on = En el estante: { $text }.
parts-shelf-knows = El estante ya lo sabe: { $text }.
parts-shelf-no-sense = Estos no tienen sentido por sí solos. Incorporar también aquello de lo que dependen: { $why }.
parts-shelf-learned = Aprendido desde que está en el estante
parts-shelf-learned-hint = «{ $text }» en el estante aún no dice esto. Lo marcado se incorpora allí.
parts-shelf-take-over = Pasar al estante: { $n }
parts-shelf-keep-as = Guardarlo también como «{ $text }»

# kept
parts-kept-line = Guardado en este teléfono: { $what }. { $desk }
parts-kept-one-entry = 1 entrada
parts-kept-entries = { $n } entradas
parts-kept-one-photo = 1 foto
parts-kept-photos = { $n } fotos
parts-kept-some-photos = { $n } de { $n2 } fotos
parts-kept-one-recording = 1 grabación
parts-kept-recordings = { $n } grabaciones
parts-kept-some-recordings = { $n } de { $n2 } grabaciones
parts-kept-no-desk = Aquí no hay mostrador: entregar como archivo.
parts-kept-unpaired = No está en el mostrador: este teléfono no está vinculado con él.
parts-kept-soon = Aún no está en el mostrador: se envía en un momento.
parts-kept-all = El mostrador lo tiene todo.
parts-kept-not-here = El mostrador lo tiene todo, salvo fotos y grabaciones que tampoco están aquí: { $n }.
parts-kept-sending = Enviando al mostrador: { $sent } de { $total }.
parts-kept-waiting = Aún no está en el mostrador: { $why }
parts-kept-refused = El mostrador lo ha rechazado: { $why }

# marks
parts-marked = · marcado { $weight }

# photos
parts-photo-file = Archivo
parts-photo-from-file = { $label }: desde un archivo
parts-photographs = Fotos
parts-photo-draw-what = Dibujar, medir: { $stage }
parts-photo-draw = Dibujar, medir
parts-photo-take-back = Deshacer esta foto: { $stage }
parts-photo-reading = { $stage }, leyéndose
parts-photo-undrawn = { $stage }: guardada, pero no se muestra: está en el mostrador, o este navegador no puede mostrarla
parts-photo-given-out = Se ha entregado como archivo: está donde este navegador pone sus descargas.
parts-photo-sent-out = Se ha entregado como archivo: está donde se ha enviado.
parts-work-stop = Parar
parts-work-stopped = Parado. No se ha hecho ni cambiado nada.
parts-work-stopped-coming = Parado. Un trabajo que ya hubiera llegado está en la lista de arriba.
parts-photo-shoot = Foto con luz y temporizador

# picture
parts-picture-none = ninguno
parts-picture-summary = El vehículo. Siguiente sitio: { $zone }. Lo más probable: { $zones }.
parts-picture-zone-chance = { $zone } { $n } %
parts-picture-unknown = no se sabe
parts-picture-where = Dónde está en el vehículo. Ahora: { $zone }.
parts-picture-from = Visto desde
parts-picture-above = Arriba
parts-picture-left = Su izquierda
parts-picture-right = Su derecha
parts-picture-list = O elegir de la lista
parts-picture-part = Zona del vehículo
parts-picture-last = aquí se miró por última vez

# shelf_offers
parts-shelf-on = En el estante
parts-shelf-on-colon = En el estante:
parts-shelf-take = Tomar un circuito del estante
parts-shelf-taken = Circuito del estante: { $loads }.
parts-shelf-about-kept = , { $about }, guardado el { $day }.
parts-shelf-another = Es de otro vehículo. Omitido: { $what }.
parts-shelf-replaces = Esto ya está introducido aquí y se sustituiría: { $what }. «Deshacer» en la pantalla Circuito lo recupera.
parts-shelf-replace = Sustituir
parts-shelf-leave = Dejarlo como está
parts-shelf-use-what = Usar: { $text }
parts-shelf-use = Usar

# take_back
parts-bring-back-here = Deshecho aquí: { $n }
parts-bring-back-one = Recuperar
parts-bring-back-done = Recuperado.
parts-bring-back-photo = Recuperar esta foto: { $stage }
parts-bring-back-note = Recuperar la nota: { $text }
parts-bring-back-spoken = Recuperar esta nota de voz
parts-take-back-what = Deshacer: { $what }
parts-off-list = «{ $load }» fuera de la lista
parts-step-done = «{ $access }» está hecho
parts-step-undone = «{ $access }» está sin hacer

# tree
parts-tree-fuse = Fusible { $n } A
parts-tree-by = El grosor muestra
parts-tree-flows = Qué corriente pasa
parts-tree-chance = Probabilidad del sitio
parts-tree-meter = Ficha de medida: ohmios, amperios, metros
parts-tree-open-circuit = Óhmetro con el fusible fuera, de su lado de carga a masa: circuito abierto.
parts-tree-ohms = Óhmetro con el fusible fuera, de su lado de carga a masa: unos { $n } Ω, de { $n2 } a { $n3 }. Las lámparas frías miden como un cortocircuito: no lo es.
parts-tree-ohms-least = Óhmetro con el fusible fuera, de su lado de carga a masa: unos { $n } Ω, al menos { $n2 }; la electrónica también puede mostrar un circuito abierto.
parts-tree-told-current = Grueso donde pasa mucha corriente, con todo eso encendido. Tenue y a rayas: sin tensión. A puntos: el retorno, detrás de un consumidor.
parts-tree-told-chance = Grueso donde el sitio es probable, del propio cable y de todo lo que hay detrás. A puntos: el retorno; un cortocircuito ahí no funde ningún fusible. Los sitios que comparten varios cables cuentan para cada uno a partes iguales.
parts-tree-circuit = El circuito desde el fusible
parts-tree-behind = , detrás de { $load }
parts-tree-open-end = extremo abierto
parts-tree-nothing = { $place }: sin nada conectado
parts-tree-joint = unión
parts-tree-dead = sin tensión
parts-tree-live-none = con tensión, 0 A
parts-return-ground = retorno a masa
parts-return-load = retorno por otro consumidor
parts-return-colour-ground = retorno { $colour } a masa
parts-return-colour-load = retorno { $colour } por otro consumidor
parts-return-by-ground = retorno por { $place } a masa
parts-return-by-load = retorno por { $place } y por otro consumidor
parts-return-colour-by-ground = retorno { $colour } por { $place } a masa
parts-return-colour-by-load = retorno { $colour } por { $place } y por otro consumidor

# tried
parts-tried-odd = no concuerda
parts-tried-fits = concuerda
parts-tried-dead = Sin función
parts-tried-works = Funciona

# viewfinder
parts-finder-camera = Cámara: { $stage }
parts-finder-sees = Lo que ve la cámara
parts-finder-opens = La cámara se abre. Es posible que el navegador pida permiso.
parts-finder-lie = Tal como está.
parts-finder-close-scale = De cerca, con escala.
parts-finder-repaired = Tras la reparación.
parts-finder-other = Otro.
parts-finder-keeping = Guardando …
parts-finder-kept = Guardada.
parts-finder-keep = Quedársela
parts-finder-retake = Repetir
parts-finder-stop-timer = Parar el temporizador
parts-finder-take = Tomar foto
parts-finder-timer-off = Temporizador: no
parts-finder-timer = Temporizador: { $n } s
parts-finder-close = Cerrar
parts-finder-gone = La cámara se ha perdido, quizá por una llamada u otra app. Lo guardado sigue guardado. Cerrar esto y abrirlo de nuevo, o tomar la foto con la cámara del propio teléfono.
parts-finder-given-out = No se pudo guardar en el trabajo. { $where } Cerrar esto para leer por qué.
parts-finder-lamp-on = Luz: sí
parts-finder-lamp-off = Luz: no
parts-finder-zoom = Zoom
parts-finder-knock-off = Golpe: no
parts-finder-knock-light = Golpe: suave
parts-finder-knock-firm = Golpe: fuerte
parts-finder-use-timer = { $why }. Usar el temporizador en su lugar.
parts-finder-own-camera = { $why }. O tomar la foto con la cámara del propio teléfono.

# vin
parts-vin-registered = Fabricante registrado en { $region }; { $check }; { $year }.
parts-vin-not-kept = Este navegador no guarda nada aparte del trabajo: el número no se ha guardado.
parts-vin-label = Número de bastidor, si se tiene a mano
parts-vin-hint = No es necesario. Le dice al estante qué vehículo es.
parts-vin-scan = Leerlo del código de barras
parts-vin-none = Entre los códigos de barras de esta imagen no hay número de bastidor. Acercarse más o escribirlo.
parts-vin-in-log = El número de bastidor está en el registro de este trabajo y va con él
parts-vin-here = Dejar el número de bastidor en este teléfono, fuera de lo que se entrega

# voice
parts-voice-none = Sin nota de voz: { $why }. Tocar una frase o escribir la nota.
parts-voice-opens = Abriendo el micrófono …
parts-voice-speak = Dictar una nota
parts-voice-stop = Parar y guardar
parts-voice-notes = Notas de voz
parts-voice-take-back = Deshacer esta nota de voz
parts-voice-hear = Escuchar
parts-voice-note = Nota de voz, { $time }
parts-voice-elsewhere = Una nota de voz de { $time } que no está en este teléfono.
parts-voice-one-second = 1 segundo
parts-voice-seconds = { $n } segundos

# wire_way
parts-way-loom = con el mazo, { $n } m: { $zones }
parts-way-via = por { $zones }, { $n } m
parts-way-stated = por { $zones }, según lo indicado
parts-way-wire = Su cable va
