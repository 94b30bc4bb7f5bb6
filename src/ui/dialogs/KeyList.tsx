import { Button, Dialog, Heading, Modal, ModalOverlay, Switch } from "react-aria-components";
import { actionGroups } from "../action.ts";
import { actionList, keyName } from "../actions.ts";
import { settings } from "../state/settings.ts";
import { useStore } from "../state/store.ts";
import { view } from "../state/view.ts";

/** All keys, made from the table of actions. */
export function KeyList() {
  const isOpen = useStore(view, (value) => value.dialog === "keys");
  const keys = useStore(settings, (value) => value.keys);
  return (
    <ModalOverlay
      className="veil"
      isDismissable
      isOpen={isOpen}
      onOpenChange={(open) => view.set({ dialog: open ? "keys" : null })}
    >
      <Modal className="modal wide">
        <Dialog className="dialog">
          <header className="dialog-head">
            <Heading slot="title">Keys</Heading>
            <Button className="icon-button" slot="close" aria-label="Close the list of keys">
              <svg width="16" height="16" viewBox="0 0 16 16" aria-hidden="true">
                <path d="M4 4l8 8M12 4l-8 8" />
              </svg>
            </Button>
          </header>
          <div className="key-groups">
            {actionGroups.map((group) => (
              <section key={group}>
                <h3>{group}</h3>
                <dl>
                  {actionList
                    .filter((action) => action.group === group && action.keys.length > 0)
                    .map((action) => (
                      <div key={action.label}>
                        <dt>{action.label}</dt>
                        <dd>
                          {action.keys.map((key) => (
                            <kbd key={key}>{keyName(key)}</kbd>
                          ))}
                        </dd>
                      </div>
                    ))}
                </dl>
              </section>
            ))}
          </div>
          <footer>
            <Switch className="switch" isSelected={keys} onChange={(on) => settings.set({ keys: on })}>
              <span className="switch-track" aria-hidden="true" />
              Letters and signs work as keys. Switch off if speech or switch control types them by accident.
            </Switch>
          </footer>
        </Dialog>
      </Modal>
    </ModalOverlay>
  );
}
