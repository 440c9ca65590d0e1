# Español.

# words.rs
words-unpaired = En esta dirección hay un mostrador, pero este teléfono no está vinculado con él: no recibe nada de aquí.
words-key-on = Contacto puesto
words-key-on-low = contacto puesto
words-engine-running = Motor en marcha
words-engine-running-low = motor en marcha
words-lamps-on = Luces encendidas
words-lamps-on-low = luces encendidas
words-brake = Freno pisado
words-brake-low = freno pisado
words-reverse = Marcha atrás puesta
words-reverse-low = marcha atrás puesta
words-wipers = Limpiaparabrisas en marcha
words-wipers-low = limpiaparabrisas en marcha
words-turn-left = Intermitente izquierdo
words-turn-left-low = intermitente izquierdo
words-turn-right = Intermitente derecho
words-turn-right-low = intermitente derecho
words-door-open = Puerta abierta
words-door-open-low = puerta abierta
words-accessory = Accesorios encendidos
words-accessory-low = accesorio conectado
words-nothing-on = nada encendido

# phrases
words-phrase-clip = Falta grapa
words-phrase-grommet = Pasacables roto
words-phrase-copper = Rozado hasta el cobre
words-phrase-edge = Apoya en un canto vivo
words-phrase-tape = Cinta despegada
words-phrase-corrosion = Corrosión verde
words-phrase-pinched = Pillado
words-phrase-repaired = Ya reparado aquí

# seen
words-seen-sound = Sano
words-seen-sound-low = sano
words-seen-marked = Rozado
words-seen-marked-low = rozado
words-seen-thinned = Desgastado
words-seen-thinned-low = desgastado
words-seen-bare = Pelado
words-seen-bare-low = pelado
words-seen-severed = Cortado
words-seen-severed-low = cortado
words-seen-not-seen = No visto
words-seen-not-seen-low = no visto
words-means-sound = nada que señalar
words-means-marked = rozado, aislamiento entero
words-means-thinned = aislamiento fino, sin cobre
words-means-bare = se ve el cobre
words-means-severed = cable cortado
words-means-not-seen = no se pudo ver el sitio

# motion, heat
words-still = Parado
words-still-low = parado
words-smooth = Buen firme
words-smooth-low = buen firme
words-rough = Mal firme
words-rough-low = mal firme
words-turning = En una curva
words-turning-low = en una curva
words-door-moved = Se movió una puerta o tapa
words-door-moved-low = se movió una puerta o tapa
words-cold = Frío
words-cold-low = frío
words-warm = Templado
words-warm-low = templado
words-hot = Caliente
words-hot-low = caliente

# vehicle
words-engine-front = Delante
words-engine-mid = Bajo o detrás de los asientos delanteros
words-engine-rear = Detrás
words-size-short = Corto
words-size-medium = La normal, o única
words-size-long = Largo
words-option-fitted = En este vehículo
words-option-fitted-low = en este vehículo
words-option-absent = No en este vehículo
words-option-absent-low = no en este vehículo
words-option-removed = Desmontado, cableado sigue
words-option-removed-low = desmontado, cableado sigue

# stage
words-stage-lie = Tal como está
words-stage-lie-low = tal como está
words-stage-lifted = Levantado
words-stage-lifted-low = levantado
words-stage-close = De cerca, con escala
words-stage-close-low = de cerca, con escala
words-stage-repaired = Tras la reparación
words-stage-repaired-low = tras la reparación
words-other = Otro
words-other-low = otro

# fuse
words-fuse-blade = De cuchilla
words-fuse-mini = Mini
words-fuse-maxi = Maxi
words-fuse-cartridge = De cartucho lento
words-fuse-breaker = Disyuntor, se rearma solo
words-fresh-not-tried = Aún no probado
words-fresh-closed = Se queda cerrado
words-fresh-holds = Aguanta
words-fresh-trips = Salta enseguida, una y otra vez
words-fresh-opens = Se funde enseguida

# figures
words-minutes-under = menos de 1 min
words-minutes-plain = { $n } min
words-minutes-hours = { $n } h { $n2 } min
words-amperes = { $n } A
words-kilobytes = { $n } kB
words-megabytes = { $n } MB
words-gigabytes = { $n } GB
words-both = Ambos
words-left = Izquierda
words-right = Derecha
words-no-figure = «{ $text }» no es un número de 0 en adelante. Queda lo que estaba guardado.
words-too-long = «{ $text }» es más de lo que circula cualquier vehículo. Queda lo que estaba guardado.
words-one-load = 1 consumidor
words-loads = { $n } consumidores
words-day-1 = { $day } de enero de { $year }
words-day-2 = { $day } de febrero de { $year }
words-day-3 = { $day } de marzo de { $year }
words-day-4 = { $day } de abril de { $year }
words-day-5 = { $day } de mayo de { $year }
words-day-6 = { $day } de junio de { $year }
words-day-7 = { $day } de julio de { $year }
words-day-8 = { $day } de agosto de { $year }
words-day-9 = { $day } de septiembre de { $year }
words-day-10 = { $day } de octubre de { $year }
words-day-11 = { $day } de noviembre de { $year }
words-day-12 = { $day } de diciembre de { $year }
words-bump = Bache
words-bump-low = bache
words-bend = Curva
words-bend-low = curva

# acts
words-act-opened-job = trabajo abierto
words-act-concern = avería
words-act-vehicle = vehículo
words-act-fuse = fusible
words-act-circuit = circuito incorporado
words-act-shop = lo que ha aprendido el taller
words-act-load = consumidor «{ $load }»
words-act-load-removed = consumidor { $load } quitado
words-act-quoted = «{ $what }»
words-act-mark = marca «{ $mark }»
words-act-mark-off = marca quitada
words-act-touch = cuánto dura un contacto
words-act-blow = se fundió
words-act-held = aguantó
words-act-unplugged = desenchufado
words-act-dead = «{ $load }» sin función
words-act-works = «{ $load }» funciona
words-act-look = inspección visual: { $seen }
words-act-press-opened = prueba de presión: se fundió
words-act-press-held = prueba de presión: aguantó
words-act-meter = lo que mostró el óhmetro
words-act-telltale-back = el testigo volvió a encenderse
words-act-telltale-out = el testigo se apagó
words-act-waived = se siguió sin foto
words-act-recording = grabación
words-act-drawn = lo último dibujado
words-act-road-began = empezó la prueba en carretera
words-act-road-ended = terminó la prueba en carretera
words-act-photo = foto «{ $stage }»
words-act-note = nota
words-act-worked = funciona
words-act-worked-not = no funciona
words-act-access-opened = abierto
words-act-access-closed = cerrado de nuevo
words-act-no-reach = no se llega
words-act-first = esto primero
words-act-taken-back = deshecho
words-act-finding = hallazgo
words-act-repair = reparación
words-act-release = verificación final
words-act-handover = entrega

# house, capture, fallen, learned, shelf
words-keeping-photo = Guardando la foto …
words-photo-kept-place = Foto guardada. Se le ha quitado el lugar donde se tomó.
words-photo-kept = Foto guardada.
words-photo-not-kept = La foto no se ha guardado: { $why }.
words-keeping-voice = Guardando la nota de voz …
words-voice-kept = Nota de voz guardada.
words-voice-not-kept = La nota de voz no se ha guardado: { $why }.
words-fallen = Loomwalk se ha parado por un defecto. Todo lo que se mostró como guardado sigue en este teléfono.
words-start-again = Empezar de nuevo
words-held-to = El recorrido se limita a eso por ahora.
words-held-no-more = Se muestra de nuevo todo el recorrido.
words-not-kept = Esto no se ha guardado: { $why }.
words-not-here = Este trabajo no está en este teléfono. Abrir aquí su archivo de entrega o ir a la lista de trabajos.
words-lesson-not-kept = Lo que enseña este trabajo no se pudo guardar: este navegador no da más espacio para ello. El trabajo en sí está guardado.
words-shelf-unchanged = El estante no se ha cambiado: { $why }.

# page
words-starting = iniciando…
words-start-failed = Loomwalk no ha podido iniciarse: { $text }. Lo que se ha registrado sigue en este dispositivo. Cargar la página de nuevo; si no ayuda, actualizar este navegador.
words-no-script = Loomwalk es un programa que funciona en el navegador. Permita JavaScript para esta dirección y vuelva a cargarla.
