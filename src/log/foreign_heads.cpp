// SPDX-License-Identifier: GPL-3.0-or-later
// Heads of columns in other languages than English: common words of the trade (common practice).
#include <array>

#include "log/phrases.hpp"

namespace basefog::log {
namespace {

using enum ColumnKind;

/// Without accents; bars part the words.
constexpr auto kHeads = std::to_array<ForeignHeads>({
    {frame, "bild|bildnummer|bild nr|aufnahme|nummer|negativ|lfd nr",
     "vue|photo|cliche|numero|no de vue|n\u00b0|negatif",
     "fotogramma|foto|numero|posa|scatto|negativo|n\u00b0", "fotograma|foto|numero|toma|negativo",
     "fotograma|foto|numero|negativo", "opname|beeld|foto|nummer|negatief|opnamenummer"},
    {shutter, "zeit|verschlusszeit|belichtungszeit|verschluss",
     "vitesse|obturateur|temps de pose|temps d exposition|temps|vitesse d obturation",
     "tempo|tempo di posa|tempo di esposizione|otturatore|tempi",
     "velocidad|obturador|tiempo|tiempo de exposicion|velocidad de obturacion",
     "velocidade|obturador|tempo|tempo de exposicao|velocidade do obturador",
     "sluitertijd|sluiter|tijd|belichtingstijd"},
    {aperture, "blende|blendenzahl", "diaphragme|ouverture", "diaframma|apertura|diaframmi",
     "diafragma|apertura|abertura", "diafragma|abertura", "diafragma|diafragmagetal"},
    {settings, "belichtung|zeit/blende|zeit und blende", "exposition|vitesse/diaphragme",
     "esposizione|tempo/diaframma", "exposicion|velocidad/diafragma",
     "exposicao|velocidade/abertura", "belichting|tijd/diafragma"},
    {speed, "empfindlichkeit|eingestellt", "sensibilite", "sensibilita", "sensibilidad",
     "sensibilidade", "gevoeligheid|filmgevoeligheid"},
    {film_speed, "filmempfindlichkeit", "sensibilite du film", "sensibilita della pellicola",
     "sensibilidad de la pelicula", "sensibilidade do filme", "gevoeligheid van de film"},
    {compensation, "korrektur|belichtungskorrektur|ausgleich",
     "correction d exposition|compensation d exposition|decalage",
     "compensazione|correzione|compensazione dell esposizione",
     "compensacion|correccion|compensacion de exposicion",
     "compensacao|correcao|compensacao de exposicao",
     "belichtingscompensatie|compensatie|correctie|belichtingscorrectie"},
    {mode, "modus|betriebsart|programm", "mode d exposition|programme", "modo|modalita|programma",
     "modo|programa", "modo|programa", "stand|modus|programma"},
    {lens, "objektiv|linse", "objectif", "obiettivo|ottica", "objetivo|lente",
     "objetiva|objectiva|lente", "objectief"},
    {focal_length, "brennweite", "focale|distance focale|longueur focale",
     "focale|lunghezza focale", "focal|distancia focal", "distancia focal",
     "brandpuntsafstand|brandpunt"},
    {filter, "filter|filterfaktor", "filtre|filtres", "filtro|filtri", "filtro|filtros",
     "filtro|filtros", "filter|filters"},
    {push, "entwicklung", "developpement", "sviluppo", "revelado", "revelacao", "ontwikkeling"},
    {metering, "messung|messart|messmethode", "mesure|mode de mesure", "misurazione|lettura",
     "medicion", "medicao", "meting|lichtmeting|meetmethode"},
    {scene, "motiv|szene|licht|ort|gegenstand|wetter", "sujet|scene|lumiere|lieu",
     "soggetto|scena|luce|luogo", "escena|motivo|tema|luz|lugar", "cena|assunto|motivo|luz|local",
     "onderwerp|motief|licht|plaats"},
    {note, "notiz|notizen|bemerkung|bemerkungen|anmerkung|anmerkungen|kommentar",
     "remarque|remarques|commentaire|commentaires|observations",
     "annotazioni|osservazioni|commenti|appunti", "nota|notas|observaciones|comentarios",
     "nota|notas|observacoes|comentarios", "notitie|notities|opmerking|opmerkingen"},
    {date, "datum|tag", "jour", "data|giorno", "fecha|dia", "data|dia", "datum|dag"},
    {time_of_day, "uhrzeit|uhr|stunde", "heure", "ora", "hora", "hora", "tijdstip|uur"},
    {film, "filmtyp|filmsorte", "pellicule", "pellicola", "pelicula", "filme|pelicula",
     "filmsoort"},
    {camera, "kamera|gehause", "appareil|boitier", "macchina|fotocamera|corpo", "camara|cuerpo",
     "camara|maquina", "toestel|fototoestel"},
    {meter, "belichtungsmesser", "cellule|posemetre", "esposimetro", "fotometro|exposimetro",
     "fotometro", "belichtingsmeter|lichtmeter"},
    {roll, "rolle|filmnummer|film nr", "rouleau|bobine|no de film", "rullino|rullo",
     "carrete|rollo", "rolo", "rolletje|rol"},
});

}  // namespace

std::span<const ForeignHeads> foreign_heads() { return kHeads; }

}  // namespace basefog::log
