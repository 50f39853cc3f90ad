"""An ONNX graph run by PyTorch with its weights trainable, and written back into the same graph.

Only the operators of the line recogniser are known; another one is an error that names it.
"""

from pathlib import Path

import numpy as np
import onnx
import torch
import torch.nn.functional as F
from onnx import numpy_helper
from torch import nn


class Graph(nn.Module):
    """Runs the nodes of an ONNX graph in order, up to `until` (a value's name)."""

    def __init__(self, path: Path, until: str) -> None:
        super().__init__()
        self.model = onnx.load(str(path))
        self.until = until
        self.input = self.model.graph.input[0].name
        self.weights = nn.ParameterDict()
        self.constants: dict[str, torch.Tensor] = {}
        self.names: dict[str, str] = {}
        norms = [n for n in self.model.graph.node if n.op_type == "BatchNormalization"]
        frozen = {name for node in norms for name in node.input[3:5]}  # running mean and variance
        for tensor in self.model.graph.initializer:
            array = numpy_helper.to_array(tensor).copy()
            if tensor.name not in frozen and array.dtype == np.float32 and array.size > 1:
                key = f"w{len(self.names)}"
                self.names[tensor.name] = key
                self.weights[key] = nn.Parameter(torch.from_numpy(array))
            else:
                self.constants[tensor.name] = torch.from_numpy(array)

    def _apply(self, fn, *args, **kwargs):  # type: ignore[no-untyped-def]
        self.constants = {name: fn(value) for name, value in self.constants.items()}
        return super()._apply(fn, *args, **kwargs)

    def forward(self, images: torch.Tensor) -> torch.Tensor:
        """The value `until` for a batch of images, n x 3 x 48 x width."""
        values: dict[str, torch.Tensor] = {self.input: images}

        def get(name: str) -> torch.Tensor:
            if name in values:
                return values[name]
            if name in self.names:
                return self.weights[self.names[name]]
            return self.constants[name]

        for node in self.model.graph.node:
            attributes = {a.name: onnx.helper.get_attribute_value(a) for a in node.attribute}
            inputs = [get(name) for name in node.input if name]
            outputs = _run(node.op_type, inputs, attributes)
            values[node.output[0]] = outputs
            if node.output[0] == self.until:
                return outputs
        raise ValueError(f"no value {self.until} in this graph")

    def write(self, path: Path, extra: dict[str, np.ndarray], metadata: dict[str, str]) -> None:
        """Write the graph with the trained weights; `extra` replaces initialisers by name."""
        for tensor in self.model.graph.initializer:
            if tensor.name in extra:
                array = extra[tensor.name]
            elif tensor.name in self.names:
                array = self.weights[self.names[tensor.name]].detach().cpu().numpy()
            else:
                continue
            tensor.CopyFrom(numpy_helper.from_array(array.astype(np.float32), tensor.name))
        del self.model.metadata_props[:]
        for key, value in metadata.items():
            entry = self.model.metadata_props.add()
            entry.key, entry.value = key, value
        self.model.graph.output[0].type.tensor_type.shape.dim[2].dim_value = int(
            next(iter(extra.values())).shape[-1]
        )
        onnx.checker.check_model(self.model)
        onnx.save(self.model, str(path))


def _run(op: str, x: list[torch.Tensor], a: dict[str, object]) -> torch.Tensor:
    if op == "Identity":
        return x[0]
    if op in _BINARY:
        return _BINARY[op](x[0], x[1])
    if op in _UNARY:
        return _UNARY[op](x[0])
    if op == "Conv":
        return _conv(x, a)
    if op == "ReduceMean":
        return x[0].mean(dim=list(a["axes"]), keepdim=bool(a.get("keepdims", 1)))  # type: ignore[call-overload]
    if op == "Transpose":
        return x[0].permute(*a["perm"])  # type: ignore[misc]
    if op == "Reshape":
        shape = [int(n) for n in x[1]]
        return x[0].reshape([x[0].shape[i] if n == 0 else n for i, n in enumerate(shape)])
    if op == "Slice":
        return _slice(x)
    if op in {"Squeeze", "Unsqueeze"}:
        axes = a.get("axes") or [int(n) for n in x[1]]
        for axis in sorted(axes, reverse=op == "Squeeze"):  # type: ignore[call-overload]
            x[0] = x[0].squeeze(axis) if op == "Squeeze" else x[0].unsqueeze(axis)
        return x[0]
    if op == "Shape":
        return torch.tensor(x[0].shape)
    if op == "Concat":
        return torch.cat([v.to(x[0].device) for v in x], dim=int(a["axis"]))  # type: ignore[call-overload]
    if op == "Softmax":
        return x[0].softmax(dim=int(a.get("axis", -1)))  # type: ignore[call-overload]
    if op == "HardSigmoid":
        return (x[0] * float(a["alpha"]) + float(a["beta"])).clamp(0, 1)  # type: ignore[arg-type]
    if op == "BatchNormalization":
        return F.batch_norm(x[0], x[3], x[4], x[1], x[2], False, 0.0, float(a["epsilon"]))  # type: ignore[arg-type]
    if op in {"MaxPool", "AveragePool"}:
        return _pool(op, x[0], a)
    raise ValueError(f"operator {op} is not known here")


_BINARY = {
    "Add": torch.add,
    "Sub": torch.sub,
    "Mul": torch.mul,
    "Div": torch.div,
    "Pow": torch.pow,
    "MatMul": torch.matmul,
}
_UNARY = {"Relu": F.relu, "Erf": torch.erf, "Sqrt": torch.sqrt, "Sigmoid": torch.sigmoid}


def _conv(x: list[torch.Tensor], a: dict[str, object]) -> torch.Tensor:
    kernel, stride = tuple(x[1].shape[2:]), tuple(a.get("strides", [1, 1]))  # type: ignore[arg-type]
    return F.conv2d(
        F.pad(x[0], _padding(x[0], kernel, stride, a)),
        x[1],
        x[2] if len(x) > 2 else None,
        stride=stride,
        groups=int(a.get("group", 1)),  # type: ignore[call-overload]
    )


def _padding(
    x: torch.Tensor, kernel: tuple[int, ...], stride: tuple[int, ...], a: dict[str, object]
) -> tuple[int, int, int, int]:
    """Left, right, top, bottom; SAME_UPPER puts the odd row and column at the end (ONNX, Conv)."""
    if a.get("auto_pad") == b"SAME_UPPER":
        sides = []
        for size, k, s in zip(x.shape[2:], kernel, stride, strict=True):
            total = max((-(-size // s) - 1) * s + k - size, 0)
            sides.append((total // 2, total - total // 2))
        (top, bottom), (left, right) = sides
    else:
        top, left, bottom, right = a.get("pads", [0, 0, 0, 0])  # type: ignore[misc]
    return left, right, top, bottom


def _pool(op: str, x: torch.Tensor, a: dict[str, object]) -> torch.Tensor:
    kernel, stride = tuple(a["kernel_shape"]), tuple(a["strides"])  # type: ignore[arg-type]
    padding = _padding(x, kernel, stride, a)
    if op == "MaxPool":
        return F.max_pool2d(F.pad(x, padding, value=float("-inf")), kernel, stride)
    return F.avg_pool2d(F.pad(x, padding), kernel, stride)


def _slice(x: list[torch.Tensor]) -> torch.Tensor:
    value, starts, ends = x[0], x[1].tolist(), x[2].tolist()
    axes = x[3].tolist() if len(x) > 3 else list(range(len(starts)))
    steps = x[4].tolist() if len(x) > 4 else [1] * len(starts)
    where = [slice(None)] * value.dim()
    for start, end, axis, step in zip(starts, ends, axes, steps, strict=True):
        where[axis] = slice(start, min(end, value.shape[axis]), step)
    return value[tuple(where)]
