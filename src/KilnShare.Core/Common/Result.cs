using System.Diagnostics.CodeAnalysis;

namespace KilnShare.Core.Common;

/// <summary>Either a value or the refusal that stands in its place.</summary>
public sealed class Result<T>
{
    private readonly T? value;

    private Result(T? value, Refusal? refusal)
    {
        this.value = value;
        Refusal = refusal;
    }

    /// <summary>The refusal; null when there is a value.</summary>
    public Refusal? Refusal { get; }

    /// <summary>The value. Asking a refused result for it is a programming error.</summary>
    /// <exception cref="InvalidOperationException">The result is a refusal.</exception>
    public T Value => Refusal is null ? value! : throw new InvalidOperationException($"Refused: {Refusal.Code}: {Refusal.Message}");

    /// <summary>True with the value, or false with the refusal.</summary>
    public bool TryGet([NotNullWhen(true)] out T? found, [NotNullWhen(false)] out Refusal? refusal)
    {
        found = value;
        refusal = Refusal;
        return refusal is null;
    }

    /// <summary>The next step on the value; a refusal passes through.</summary>
    public Result<TNext> Then<TNext>(Func<T, Result<TNext>> next) => Refusal is null ? next(value!) : Refusal;

    /// <summary>A value is a result.</summary>
    public static implicit operator Result<T>(T value) => new(value, null);

    /// <summary>A refusal is a result.</summary>
    public static implicit operator Result<T>(Refusal refusal) => new(default, refusal);
}
