"""The recogniser's ONNX graph as a network that can be trained.

Each node runs as the same operation of torch, each weight is a parameter under its own name. So
nothing is rebuilt by hand, and what was learned goes back into the same graph, weight by weight.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np
import onnx
import torch
from numpy.typing import NDArray
from onnx import numpy_helper
from torch import nn
from torch.nn import functional as F

#: The last layer, 120 features to 18,710 classes: it stays as it is.
LAST = ("linear_8.w_0", "linear_8.b_0")
#: Mean and variance that batch normalisation has learned: they stay as they are.
_RUNNING = (".w_1", ".w_2")
#: Numbers of the formulas (of the activation, of attention's scale), not weights.
_CONSTANTS = ("helper.constant", "auto.cast")
_OUTPUT = "fetch_name_0"

Weights = dict[str, NDArray[np.float32]]


class Graph(nn.Module):
    """A recogniser: pictures (n, 3, 48, w), -1 to 1, to logits (n, steps, classes)."""

    def __init__(self, file: Path) -> None:
        super().__init__()
        model = onnx.load(str(file))
        self.model = model
        self._same: dict[str, str] = {}
        self._nodes: list[tuple[str, list[str], str, dict[str, Any]]] = []
        self._held: dict[str, torch.Tensor] = {}
        self._numbers: dict[str, list[int]] = {}
        self.names: dict[str, str] = {}
        for initial in model.graph.initializer:
            value = numpy_helper.to_array(initial)
            if value.dtype == np.float32:
                key = initial.name.replace(".", "/")
                if _is_fixed(initial.name):
                    self.register_buffer(key, torch.from_numpy(value.copy()))
                else:
                    self.register_parameter(key, nn.Parameter(torch.from_numpy(value.copy())))
                self.names[initial.name] = key
            else:
                self._numbers[initial.name] = [int(one) for one in np.atleast_1d(value)]
        for node in model.graph.node:
            given = {a.name: onnx.helper.get_attribute_value(a) for a in node.attribute}
            if node.op_type == "Identity":
                self._same[node.output[0]] = node.input[0]
            else:
                self._nodes.append((node.op_type, list(node.input), node.output[0], given))

    def _origin(self, name: str) -> str:
        while name in self._same:
            name = self._same[name]
        return name

    def forward(self, pictures: torch.Tensor) -> torch.Tensor:
        """Logits; the softmax at the end is left to the loss."""
        values: dict[str, Any] = {"x": pictures}

        def get(name: str) -> Any:
            name = self._origin(name)
            if name in values:
                return values[name]
            if name in self.names:
                return getattr(self, self.names[name])
            return self._numbers[name]

        for op, inputs, output, given in self._nodes:
            if output == _OUTPUT:
                logits: torch.Tensor = get(inputs[0])
                return logits
            values[output] = _run(op, [get(name) for name in inputs], given)
        raise ValueError("the graph has no softmax at its end")

    def learnable(self) -> dict[str, nn.Parameter]:
        """The weights that may change, by their names in the file."""
        named = dict(self.named_parameters())
        return {
            name: named[key]
            for name, key in self.names.items()
            if key in named and name not in LAST
        }

    def weights(self) -> Weights:
        """Their values."""
        return {
            name: value.detach().cpu().numpy().copy() for name, value in self.learnable().items()
        }

    def take(self, weights: Weights) -> None:
        """Set the values."""
        named = self.learnable()
        with torch.no_grad():
            for name, value in weights.items():
                named[name].copy_(torch.from_numpy(value))


def between(stock: Weights, tuned: Weights, share: float) -> Weights:
    """The weights this share of the way from one to the other."""
    return {name: stock[name] * (1 - share) + tuned[name] * share for name in stock}


def _is_fixed(name: str) -> bool:
    running = name.startswith("batch_norm") and name.endswith(_RUNNING)
    return running or name.startswith(_CONSTANTS)


def _run(op: str, inputs: list[Any], given: dict[str, Any]) -> Any:
    """One node."""
    first = inputs[0]
    if op == "Conv":
        return _conv(inputs, given)
    if op in _PAIRS:
        return _PAIRS[op](first, inputs[1])
    if op in _SINGLE:
        return _SINGLE[op](first)
    if op == "HardSigmoid":
        return torch.clamp(given["alpha"] * first + given["beta"], 0, 1)
    if op == "MaxPool":
        return F.max_pool2d(_padded(first, given["kernel_shape"]), given["kernel_shape"], 1)
    if op == "AveragePool":
        return F.avg_pool2d(first, given["kernel_shape"], given["strides"])
    if op == "BatchNormalization":
        gain, offset, mean, variance = inputs[1:]
        return F.batch_norm(first, mean, variance, gain, offset, False, 0.0, given["epsilon"])
    if op == "ReduceMean":
        return first.mean(dim=tuple(given["axes"]), keepdim=bool(given.get("keepdims", 1)))
    if op == "Softmax":
        return first.softmax(dim=given["axis"])
    if op == "Transpose":
        return first.permute(*given["perm"])
    if op == "Concat":
        if isinstance(first, list):
            return [one for part in inputs for one in part]
        return torch.cat(inputs, dim=given["axis"])
    if op == "Shape":
        return list(first.shape)
    if op == "Slice":
        return _slice(inputs)
    if op == "Squeeze":
        return first if isinstance(first, list) else first.squeeze(*given["axes"])
    if op == "Unsqueeze":
        return first if isinstance(first, list) else first.unsqueeze(given["axes"][0])
    if op == "Reshape":
        if isinstance(first, list):
            return first
        shape = [first.shape[at] if one == 0 else one for at, one in enumerate(inputs[1])]
        return first.reshape(shape)
    raise ValueError(f"the graph has an operation that is not known here: {op}")


_PAIRS: dict[str, Any] = {
    "Add": lambda a, b: a + b,
    "Sub": lambda a, b: a - b,
    "Mul": lambda a, b: a * b,
    "Div": lambda a, b: a / b,
    "Pow": lambda a, b: a**b,
    "MatMul": lambda a, b: a @ b,
}
_SINGLE: dict[str, Any] = {
    "Relu": torch.relu, "Erf": torch.erf, "Sqrt": torch.sqrt, "Sigmoid": torch.sigmoid,
}  # fmt: skip


def _conv(inputs: list[Any], given: dict[str, Any]) -> torch.Tensor:
    first, kernel = inputs[0], inputs[1]
    bias = inputs[2] if len(inputs) > 2 else None
    stride, group = given["strides"], given["group"]
    if "pads" in given:
        top, left, bottom, right = given["pads"]
        if (top, left) != (bottom, right):
            raise ValueError("padding that differs from side to side is not known here")
        return F.conv2d(first, kernel, bias, stride, (top, left), 1, group)
    return F.conv2d(_padded(first, given["kernel_shape"]), kernel, bias, stride, 0, 1, group)


def _padded(first: torch.Tensor, kernel: list[int]) -> torch.Tensor:
    """As SAME_UPPER pads a step of one: what does not divide evenly goes behind."""
    high, wide = kernel[0] - 1, kernel[1] - 1
    return F.pad(first, (wide // 2, wide - wide // 2, high // 2, high - high // 2))


def _slice(inputs: list[Any]) -> Any:
    first, starts, ends, axes = inputs[:4]
    if isinstance(first, list):
        return first[starts[0] : ends[0]]
    for start, end, axis in zip(starts, ends, axes, strict=True):
        index = [slice(None)] * first.dim()
        index[axis] = slice(start, end)
        first = first[tuple(index)]
    return first


def written(file: Path, weights: Weights, out: Path) -> None:
    """The model with these weights: same inputs, outputs and letters."""
    model = onnx.load(str(file))
    for initial in model.graph.initializer:
        if initial.name in weights:
            value = weights[initial.name]
            if list(value.shape) != list(initial.dims):
                raise ValueError(f"{initial.name}: the shape differs")
            initial.CopyFrom(numpy_helper.from_array(value.astype(np.float32), initial.name))
    onnx.save(model, str(out))
