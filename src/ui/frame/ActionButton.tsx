import type { ReactNode } from "react";
import { Button, Tooltip, TooltipTrigger } from "react-aria-components";
import { type Action, keyName, tipOf } from "../actions.ts";

/** A button for one entry of the table of actions, with its tip. Without words of its own it is named after the action. */
export function ActionButton({
  action,
  className,
  isDisabled = false,
  name,
  children,
}: {
  readonly action: Action;
  readonly className: string;
  readonly isDisabled?: boolean;
  /** For a button that shows a picture alone. */
  readonly name?: string;
  readonly children: ReactNode;
}) {
  return (
    <TooltipTrigger delay={500} closeDelay={100}>
      <Button
        className={className}
        isDisabled={isDisabled}
        onPress={action.perform}
        {...(name === undefined ? {} : { "aria-label": name })}
      >
        {children}
      </Button>
      <Tooltip className="tip" offset={6}>
        {tipOf(action)}
      </Tooltip>
    </TooltipTrigger>
  );
}

/** The key of an action, as it stands on the keyboard; for the eye alone. */
export const Key = ({ action }: { readonly action: Action }) => <kbd aria-hidden="true">{keyName(action.keys[0])}</kbd>;
