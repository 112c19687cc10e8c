"""Machine code of one function as an object file: made by numba once, loaded afterwards without it.

numba itself takes the better part of a second to load what it compiled before. Its compiled function is plain: it gives
a status, and takes a place for the answer, one for what was raised, then every argument taken apart, an array as seven
numbers or more. That order is numba's own, so it is compared with what is expected here each time an object is made.
"""

from __future__ import annotations

import ctypes
import hashlib
import platform
import sys
from collections.abc import Callable, Iterator, Sequence
from typing import Any

ENTRY = "dewpond_entry"  # name of the function in the object
OPTIMIZED = 3  # level at which numba itself compiles
DONE = (0, -2)  # status: an answer was given, or none
HEAD = ("ptr", "ptr")  # where the answer goes, and what was raised
NATIVE: dict[str, Any] = {"ptr": ctypes.c_void_p, "i64": ctypes.c_int64, "double": ctypes.c_double}


class NotAsExpectedError(Exception):
    """numba compiles in another way than is expected here."""


def kind(value: Any) -> str:
    """What an argument is: type and dimensions of an array that lies in a row, ``f8`` and ``i8`` for numbers."""
    if isinstance(value, tuple):
        return f"({','.join(kind(one) for one in value)})"
    if hasattr(value, "dtype"):
        return f"{value.dtype.str}[{value.ndim}]"
    return "f8" if isinstance(value, float) else "i8"


def host() -> str:
    """The processor that an object is made for, with all that it can do."""
    import llvmlite
    from llvmlite import binding

    features = binding.get_host_cpu_features().flatten()
    return f"{sys.platform} {platform.machine()} {binding.get_host_cpu_name()} {features} {llvmlite.__version__}"


def file_name(function: str, given: Sequence[Any]) -> str:
    """Of the object for a function, such arguments, and this processor."""
    text = " ".join([host(), *(kind(one) for one in given)])
    return f"{function}-{hashlib.sha256(text.encode()).hexdigest()[:16]}.o"


def make(function: Any, given: Sequence[Any]) -> bytes:
    """The object for a function of numba, with such arguments. Takes minutes.

    Raises NotAsExpectedError where numba's compiled function is another one than ``load`` calls.
    """
    import numba
    from llvmlite import binding

    function.compile(tuple(numba.typeof(one) for one in given))
    ((signature, compiled),) = function.overloads.items()
    module = binding.parse_assembly(function.inspect_llvm(signature))
    entry = module.get_function(compiled.fndesc.llvm_func_name)
    found = [str(one.type) for one in entry.arguments]
    wanted = [*HEAD, *(type_ for one in given for type_ in _types(one))]
    returns = numba.types.unliteral(compiled.signature.return_type)
    if found != wanted or returns not in (numba.types.int64, numba.types.none):
        raise NotAsExpectedError(f"{found} -> {returns}")
    entry.name = ENTRY
    return bytes(_machine().emit_object(module))


def load(code: bytes, given: Sequence[Any]) -> Callable[..., int]:
    """The function of an object, for arguments like ``given``. It gives a whole number: 0 where it gives nothing."""
    from llvmlite import binding

    machine = _machine()
    engine = binding.create_mcjit_compiler(binding.parse_assembly(""), machine)
    engine.add_object_file(binding.ObjectFileRef.from_data(code))
    engine.finalize_object()
    types = [*HEAD, *(type_ for one in given for type_ in _types(one))]
    call = ctypes.CFUNCTYPE(ctypes.c_int32, *(NATIVE[one] for one in types))(engine.get_function_address(ENTRY))

    def run(*taken: Any, _kept: Any = engine) -> int:
        answer, raised = ctypes.c_int64(), ctypes.c_void_p()
        apart = (one for value in taken for one in _apart(value))
        status = call(ctypes.addressof(answer), ctypes.addressof(raised), *apart)
        if status not in DONE:
            raise ArithmeticError(f"status {status} of compiled code")
        return answer.value

    return run


def _machine() -> Any:
    """What makes and loads code for this processor."""
    from llvmlite import binding

    binding.initialize_native_target()
    binding.initialize_native_asmprinter()
    return binding.Target.from_default_triple().create_target_machine(
        cpu=binding.get_host_cpu_name(),
        features=binding.get_host_cpu_features().flatten(),
        opt=OPTIMIZED,
        jit=True,
    )


def _types(value: Any) -> Iterator[str]:
    """The arguments that numba makes of one."""
    if isinstance(value, tuple):
        for one in value:
            yield from _types(one)
    elif hasattr(value, "dtype"):
        yield from ("ptr", "ptr", "i64", "i64", "ptr", *["i64"] * (2 * value.ndim))
    else:
        yield "double" if isinstance(value, float) else "i64"


def _apart(value: Any) -> Iterator[Any]:
    """One argument as numba's function takes it. Owners of arrays are not counted, so none is named."""
    if isinstance(value, tuple):
        for one in value:
            yield from _apart(one)
    elif hasattr(value, "dtype"):
        data = value.__array_interface__["data"][0]
        yield from (None, None, value.size, value.itemsize, data, *value.shape, *value.strides)
    else:
        yield value
