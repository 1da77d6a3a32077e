"""The way from a kernel to the browser, without waiting: used by the JupyterLab that Warmside starts."""

from typing import Any

from jupyter_server.services.kernels.connection.channels import ZMQChannelsWebsocketConnection


class PromptConnection(ZMQChannelsWebsocketConnection):
    """Sends each message of a kernel at once.

    Left alone, TCP holds a small message back until the last one is acknowledged, which a browser puts off by
    up to 40 ms (RFC 896 against RFC 1122, 4.2.3.2): a lab's picture would lag behind the hand by that.
    """

    def connect(self) -> Any:
        """Connect, and tell the stream to wait for nothing."""
        self.websocket_handler.set_nodelay(True)
        return super().connect()
