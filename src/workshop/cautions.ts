/** What can hurt. The usual ones; the data sheet, local rules and licensed practice come before them. */
export const cautions = {
  silicone:
    "Silicone: keep catalyst and uncured mix off skin and out of eyes, wear nitrile gloves (latex stops some from curing), air the room.",
  resin:
    "Resin and polyurethane foam: isocyanates and epoxies make people allergic for life. Gloves, extraction, and the breathing protection that the data sheet names.",
  solvent:
    "Solvents: no flame, lamp or spark near, air the room, gloves that the solvent doesn't go through, rags in a closed tin.",
  brazing:
    "Soldering and brazing: flux fume is harmful and some silver solders hold cadmium. Extraction, eye protection, a fireproof bench; gas only by those trained for it.",
  lacquer: "Lacquer and adhesive sprays burn: never near a hot lamp, and let the fumes go before a lamp is lit.",
  print:
    "Uncured print resin: gloves, no skin contact, wash and cure as its data sheet says before anyone sands or handles it.",
  dust: "Dust of silicone, resin, fibreglass, metal and fur backing: wet sanding or extraction and a mask that fits.",
  lead: "Lead weights in hems: gloves, wash hands, no food at the bench; sealed steel or tungsten is the better choice.",
  magnets:
    "Strong magnets pinch and shatter, and must be kept from pacemakers, cards, and children, who may swallow them.",
  blades: "Blades: cut away from yourself on a mat, and change a blunt blade.",
  heat: "Hot wax, glue and lamps burn: let them cool, and move lamps with gloves.",
  mains: "Mains at lamps and dimmers: unplug before you open anything; wiring is for a licensed electrician.",
  "mid-shot":
    "Not in the middle of a shot: no screws, no weights, no new pose. Finish or break off the shot, note the frame, then take the puppet to the bench.",
} as const satisfies Record<string, string>;
export type CautionId = keyof typeof cautions;

/** Stands under the cautions of every card. */
export const cautionsDefer = "The data sheet, your local rules and licensed practice come before this card.";
