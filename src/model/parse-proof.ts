import { parseJson } from "./json.ts";
import { type Proof, PROOF_FORMAT, PROOF_VERSION, proofSchema } from "./proof.ts";
import { formatFault, isObject, refusals, sentenceOf } from "./refusal.ts";

export type ProofResult = { readonly proof: Proof } | { readonly refusals: readonly string[] };

/** The proof in a file's text, or every reason why it is refused, each naming the file. Never throws. */
export const parseProof = (text: string, file: string): ProofResult => {
  const json = parseJson(text);
  if ("fault" in json) return refusals(file, [json.fault]);
  const fault = formatFault(json.value, PROOF_FORMAT, PROOF_VERSION);
  if (fault !== null || !isObject(json.value)) return refusals(file, [fault ?? ""]);
  const parsed = proofSchema.safeParse(json.value);
  if (parsed.success) return { proof: parsed.data };
  return refusals(
    file,
    parsed.error.issues.map((issue) => sentenceOf(issue, json.value, "the proof")),
  );
};
