import {Component, type ComponentChildren} from 'preact';

/** Keeps a mistake of ours inside the part of the page where it happened: the rest goes on, and what was typed is safe. */
export class Mishap extends Component<{children: ComponentChildren}, {said: string}> {
  override state = {said: ''};

  static override getDerivedStateFromError(error: unknown) {
    return {said: String(error)};
  }

  override render() {
    if (this.state.said === '') return this.props.children;
    return (
      <div class="error" role="alert">
        <p>
          <strong>This part cannot be shown.</strong> What you typed is safe; go to another step, or load the page again.
        </p>
        <p>
          <small>{this.state.said}</small>
        </p>
        <button type="button" class="wide do" onClick={() => location.reload()}>
          Load the page again
        </button>
      </div>
    );
  }
}
