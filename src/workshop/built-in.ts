import { frameCauses } from "./causes/camera-and-light.ts";
import { clothCauses } from "./causes/cloth-and-hair.ts";
import { jointCauses } from "./causes/joints.ts";
import { skinCauses } from "./causes/skin-and-faces.ts";
import { touchCauses } from "./causes/touch-and-set.ts";
import { armatureFixes } from "./fixes/armature.ts";
import { softFixes } from "./fixes/cloth-and-skin.ts";
import { setFixes } from "./fixes/set-and-camera.ts";
import type { Knowledge } from "./knowledge.ts";

/** What comes with the tool. A workshop adds its own by a file (`workshop-file.ts`). */
export const builtIn: Knowledge = {
  causes: [...jointCauses, ...clothCauses, ...skinCauses, ...touchCauses, ...frameCauses],
  fixes: [...armatureFixes, ...softFixes, ...setFixes],
};
