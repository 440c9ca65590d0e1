# La hoja para el cliente.

practice = Trabajo de práctica. Nada de esto ocurrió en un vehículo real.
title-open = Su vehículo: estado del trabajo
title-found = Su vehículo: lo que se encontró y se hizo
vehicle = Vehículo
vin = Número de bastidor
taken-in = Recibido el
this-sheet = Esta hoja
date = { $day } de { $month ->
    [1] enero
    [2] febrero
    [3] marzo
    [4] abril
    [5] mayo
    [6] junio
    [7] julio
    [8] agosto
    [9] septiembre
    [10] octubre
    [11] noviembre
   *[12] diciembre
} de { $year }

told-us = Lo que usted nos contó
found = Lo que se encontró
not-found = Todavía no se ha encontrado el lugar. La búsqueda continúa.
place-in-english = En el informe del taller: { $place }
seen-sound = nada que señalar
seen-marked = cubierta rozada o marcada, aislamiento entero
seen-thinned = aislamiento más fino, sin metal a la vista
seen-bare = metal del cable a la vista
seen-severed = cable cortado
seen-not-seen = no se pudo ver el lugar
opened-there = Al apretar ahí, el fusible saltó.
chance = Por lo que se vio y se probó, esta es la causa con una probabilidad de { $percent }.
over-99 = más del 99 %
under-1 = menos del 1 %
rubbed-on = Rozaba con
why = Por qué
also-hurt = También dañado
aside = También observado, quizá sin relación

stage-close = De cerca
stage-lie = Como estaba, antes de tocarlo
stage-lifted = Levantado
stage-repaired = Después de la reparación
stage-other = Foto

repaired = Lo que se reparó
repaired-nothing = No consta ninguna reparación como hecha.
recommended = Recomendado y no hecho

checked = Comprobado antes de la entrega
undone = { $undone ->
    [one] Una de { $of } comprobaciones no se hizo.
   *[other] { $undone } de { $of } comprobaciones no se hicieron.
}
done = hecho
not-done = no hecho
doubt = Queda una pregunta abierta sobre esto: consúltenos, por favor.
held-for = { $minutes } min en los que el fusible aguantó
item-right-fuse = Está puesto el fusible correcto
item-pressed-again = Se volvió a apretar en el lugar reparado y el fusible aguantó
item-draw-measured = Se midió la corriente
item-all-worked = Se encendió una vez todo lo que depende de este fusible
item-protection-back = Las tapas y protecciones están de nuevo en su sitio
item-cautions-undone = Lo que se desconectó por seguridad está conectado de nuevo
item-road-test = Prueba en carretera

estimate = Presupuesto
for-done = Por lo hecho
for-recommended = Por lo recomendado
of-that-tax = de eso { $tax } { $amount }
unpriced = { $count ->
    [one] Una partida aún no tiene precio y no está incluida.
   *[other] { $count } partidas aún no tienen precio y no están incluidas.
}

next-time = Si vuelve a ocurrir
next-breaker = Apague lo que dejó de funcionar: el disyuntor se cierra de nuevo por sí solo y el cable se calienta cada vez.
next-fuse = No ponga un fusible tras otro, y nunca uno mayor ni un trozo de alambre: el fusible evita que el cable se queme.
next-note = Anote qué estaba haciendo: parado o en marcha, bache o curva, qué estaba encendido, frío o calor. Tráigalo de vuelta con esta hoja. Si huele a quemado o ve humo, deténgase, apague, salga y pida ayuda.
small-print = Un cable puede rozar en un segundo lugar que aún no se ha mostrado; ninguna prueba lo descarta. Las instrucciones del fabricante van primero. Esta hoja describe el trabajo en este fusible y no es una inspección de todo el vehículo.
