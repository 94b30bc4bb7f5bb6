import { useState } from "react";
import { Button } from "react-aria-components";
import { carriedBy, type Chain } from "../../workshop/joint-load/chain.ts";
import { massOf, type Material, materials, volumeFaults } from "../../workshop/joint-load/materials.ts";
import { typedNumber } from "../../workshop/quantities.ts";
import { Choice, FieldChoice, Group, NumberField } from "./fields.tsx";
import { centreMmOf, handField, handLinks, linkField } from "./load-state.ts";
import { setField } from "./workshop-state.ts";

const short = (value: number | null, decimals: number) =>
  value === null || !Number.isFinite(value) ? "" : String(Number(value.toFixed(decimals)));

/** Fields of a chain: weights, centres and tilts over those of the sheet, or all of it by hand. */
export function ChainFields({
  chain,
  byHand,
  linkId,
  scope,
}: {
  readonly chain: Chain;
  readonly byHand: boolean;
  readonly linkId: string | null;
  /** Of the names of the links' fields. */
  readonly scope: string;
}) {
  // What doesn't hang beyond the joint doesn't load it: its fields would only be in the way.
  const shown = byHand ? chain.links : linkId === null ? chain.links : carriedBy(chain.links, linkId);
  return (
    <>
      {shown.map((link) => {
        const own = handLinks.find(({ id }) => id === link.id);
        return (
          <Group key={link.id} title={link.name}>
            {own !== undefined && (
              <FieldChoice
                name={handField(link.id, "on")}
                label="Hangs on"
                initial={own.on}
                fault={`links.${link.id}.on`}
                options={[
                  ["", "nothing"],
                  ...handLinks.filter(({ id }) => id !== link.id).map(({ id, name }) => [id, name] as const),
                ]}
              />
            )}
            <NumberField
              name={linkField(link.id, "mass", scope)}
              label="Mass"
              quantity="mass"
              initial={own?.mass ?? short(link.massGrams, 1)}
              fault={`links.${link.id}.mass`}
            />
            {own !== undefined && (
              <>
                <NumberField
                  name={handField(link.id, "length")}
                  label="Length to the next joint"
                  quantity="length"
                  initial={own.length}
                />
                <NumberField
                  name={handField(link.id, "slope")}
                  label="Below level"
                  quantity="angle"
                  initial={own.slope}
                />
              </>
            )}
            {link.joint !== null && (
              <NumberField
                name={linkField(link.id, "centre", scope)}
                label="Centre of mass from joint"
                quantity="length"
                initial={own?.centre ?? short(centreMmOf(link), 1)}
              />
            )}
            <NumberField
              name={linkField(link.id, "tilt", scope)}
              label="Out of the picture"
              quantity="angle"
              initial={own === undefined ? short(link.intoPictureDegrees, 1) : "0"}
              fault={`links.${link.id}.tilt`}
            />
          </Group>
        );
      })}
      <ByVolume links={shown} scope={scope} />
    </>
  );
}

/** A mass from a volume and a material, for what can't be put on a balance. */
function ByVolume({ links, scope }: { readonly links: Chain["links"]; readonly scope: string }) {
  const [link, setLink] = useState(links[0]?.id ?? "");
  const [material, setMaterial] = useState<Material>("silicone");
  const [volume, setVolume] = useState("");
  const cm3 = typedNumber(volume);
  const fault = volume === "" ? null : (volumeFaults("volume", cm3)[0]?.sentence ?? null);
  const mass = volume === "" || fault !== null ? null : massOf(cm3, material);
  const target = links.find(({ id }) => id === link)?.id ?? links[0]?.id ?? "";
  return (
    <Group title="A mass from volume and material">
      <Choice label="Link" value={target} options={links.map(({ id, name }) => [id, name])} onChange={setLink} />
      <Choice
        label="Material"
        value={material}
        options={Object.entries(materials).map(([id, { label }]) => [id, label])}
        onChange={(value) => setMaterial(value as Material)}
      />
      <label className="field">
        <span>Volume</span>
        <span className="field-box">
          <input
            inputMode="decimal"
            value={volume}
            onChange={(event) => setVolume(event.target.value)}
            aria-invalid={fault !== null}
          />
          <span className="field-unit">cm³</span>
        </span>
        {fault !== null && <span className="field-fault">{fault}</span>}
      </label>
      <p className="field-result">
        {mass === null ? "" : `${mass.value.toFixed(1)} ± ${mass.sigma.toFixed(1)} g `}
        <Button
          className="button small"
          isDisabled={mass === null}
          onPress={() => {
            if (mass === null) return;
            setField(linkField(target, "mass", scope), mass.value.toFixed(1));
            setField(linkField(target, "massSigma", scope), mass.sigma.toFixed(2));
          }}
        >
          Take it
        </Button>
      </p>
    </Group>
  );
}
